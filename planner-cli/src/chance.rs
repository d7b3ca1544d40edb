//! Of several timings, the one that is least likely to fail.

use crate::args::{GoalOf, PlanArgs};
use crate::failure::Failure;
use crate::solving::Solved;
use clamber_core::unstable::assess::{Scatter, risk};
use clamber_core::{Interrupt, Plan, Problem, Status};

/// Puts the timing with the least chance that some bond gives in the place of the plan, if that is asked for, and says what the chance is.
pub(crate) fn choose(problem: &Problem, args: &PlanArgs, solved: &mut Solved) -> Result<String, Failure> {
    let solution = &mut solved.solution;
    if args.goal_of != GoalOf::Chance || solution.status != Status::Solved {
        return Ok(String::new());
    }
    let scatter = Scatter::default();
    let mut best: Option<(f64, bool, &Plan)> = None;
    for plan in std::iter::once(&solution.plan).chain(&solution.report.trade_offs) {
        // Only holds scatter, so the chance is a product and no draws are made.
        let found = risk(problem, plan, &scatter, &[], (0, 0), Interrupt::NEVER).map_err(|stopped| {
            Failure::not_sound(format!(
                "internal error: stopped ({stopped:?}); please report this with the scene"
            ))
        })?;
        let chance = found.chance.high;
        if best.is_none_or(|(known, _, other)| {
            chance < known || (chance == known && plan.summary.makespan_s < other.summary.makespan_s)
        }) {
            best = Some((chance, found.is_bound, plan));
        }
    }
    let Some((chance, is_bound, plan)) = best else { return Ok(String::new()) };
    if *plan != solution.plan {
        solution.plan = plan.clone();
        // Counted for the other timing.
        solution.report.hold_moves = None;
    }
    if !args.trade_offs {
        solution.report.trade_offs.clear();
    }
    let at_most = if is_bound { "at most " } else { "" };
    Ok(format!(
        "the chance that some bond gives is {at_most}{chance:.2e} if only holds scatter, by {:.0} % about their rated figures; `clamber risk` adds masses and places\n",
        100.0 * scatter.magnet.cv
    ))
}
