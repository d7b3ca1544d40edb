//! What a plan that was made to survive a failure does when it happens.

use crate::failure::Failure;
use crate::wording::fixed;
use clamber_core::unstable::assess::{self, FailureRow, Verdict, what_if_any};
use clamber_core::{Interrupt, Plan, Problem};

/// A sentence on the worst lost cup, for a solved plan; an error if it brings something down, which planning for it excludes.
pub(crate) fn lost_cups(problem: &Problem, plan: &Plan) -> Result<String, Failure> {
    let internal =
        |why: String| Failure::not_sound(format!("internal error: {why}; please report this with the scene"));
    let rows = what_if_any(problem, plan, assess::Failure::Cup, Interrupt::NEVER)
        .map_err(|stopped| internal(format!("stopped ({stopped:?})")))?;
    let used = |row: &&FailureRow| row.trial.as_ref().and_then(|t| t.utilisation).unwrap_or(f64::INFINITY);
    let worst = rows.iter().filter(|row| row.trial.is_some()).max_by(|a, b| used(a).total_cmp(&used(b)));
    let Some((row, trial)) = worst.and_then(|row| Some((row, row.trial.as_ref()?))) else {
        return Ok("no module is braced at any time: no cup can be lost\n".into());
    };
    let name = problem.module_name(row.module);
    if trial.verdict >= Verdict::NotProven {
        return Err(internal(format!(
            "the loss of {name}'s cup at {} s is not survived",
            fixed(trial.at_s, 1)
        )));
    }
    let (bound, used) = (if trial.is_bound { "at most " } else { "" }, used(&row));
    Ok(format!(
        "any one cup may fail at any instant: the worst, {name}'s at {} s, leaves bonds used up to {bound}{} of all that they hold\n",
        fixed(trial.at_s, 1),
        fixed(used, 2)
    ))
}
