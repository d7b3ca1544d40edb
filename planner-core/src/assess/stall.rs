//! A drive that stops at any instant of its move, and stays there.
//!
//! Then nothing new begins, and the moves under way are finished. A mover at rest has no more to carry than on its way. Where others go on in the same
//! structure, the load is proven for every combination of the progress of all of them, each up to its own end.

use super::verdict::{ALL, Verdict};
use crate::check::Stances;
use crate::control::{Interrupt, Stopped};
use crate::model::ModuleId;
use crate::motion::structure_failures::Failed;
use crate::motion::{Move, WorstUtilisation};
use crate::plan::Plan;
use crate::statics::WarmStart;
use rayon::prelude::*;

/// What becomes of the crew when the drive of a module stops during any of its moves.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct StallRow {
    /// The module.
    pub module: ModuleId,
    /// The worst over all instants of its slides and yaws; `None` if it makes none.
    pub verdict: Option<Verdict>,
    /// No bond is used more than this then; `None` where that is not proven.
    pub utilisation: Option<f64>,
    /// When the stretch of time begins in which it is worst, in seconds.
    pub at_s: f64,
    /// The steps in which it hops. Half-way it is on neither host, and nothing is proven: it has to finish the hop, or to take it back.
    pub hops: Vec<usize>,
}

/// One stretch of time with moves under way.
struct Stretched {
    movers: Vec<ModuleId>,
    verdict: Verdict,
    utilisation: Option<f64>,
    at_s: f64,
}

/// Bounds that are tried where several moves are under way in one structure, as shares of the limit.
const BOUNDS: [f64; 4] = [0.25, 0.5, 0.75, 1.0];

/// The rows of all modules, in the order of the crew.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub(super) fn stall_rows(
    stances: &Stances<'_>,
    plan: &Plan,
    modules: impl Iterator<Item = ModuleId>,
    limit: f64,
    interrupt: Interrupt<'_>,
) -> Result<Vec<StallRow>, Stopped> {
    let stretched: Result<Vec<Option<Stretched>>, Stopped> = stances
        .numbers()
        .into_par_iter()
        .map(|structure| stalls_in(stances, plan, structure, limit, interrupt))
        .collect();
    let stretched: Vec<Stretched> = stretched?.into_iter().flatten().collect();
    let row = |module: ModuleId| {
        let own = stretched.iter().filter(|stretched| stretched.movers.contains(&module));
        let used = |s: &Stretched| s.utilisation.unwrap_or(f64::INFINITY);
        let worst = own.reduce(|a, b| if (b.verdict, used(b)) > (a.verdict, used(a)) { b } else { a });
        let steps = plan.steps.iter().enumerate();
        let hops = steps.filter(|(_, s)| s.module == module && matches!(s.action, Move::Hop { .. }));
        StallRow {
            module,
            verdict: worst.map(|worst| worst.verdict),
            utilisation: worst.and_then(|worst| worst.utilisation),
            at_s: worst.map_or(0.0, |worst| worst.at_s),
            hops: hops.map(|(index, _)| index).collect(),
        }
    };
    Ok(modules.map(row).collect())
}

/// What the moves of one structure need when any of them stops; `None` where nothing drives.
fn stalls_in(
    stances: &Stances<'_>,
    plan: &Plan,
    structure: usize,
    limit: f64,
    interrupt: Interrupt<'_>,
) -> Result<Option<Stretched>, Stopped> {
    let wanted = stances.get(structure);
    let as_planned = Failed::nothing(wanted);
    let members = stances.members(structure);
    let movers: Vec<ModuleId> = as_planned.movers().map(|m| members[m.index()]).collect();
    let Some(span) = stances.spans_of(structure).next() else { return Ok(None) };
    if movers.is_empty() {
        return Ok(None);
    }
    let (from_s, _) = span.times_s;
    if movers.len() == 1 && !wanted.is_large {
        let found = as_planned.worse_than(WorstUtilisation::NOTHING, interrupt)?;
        let utilisation = (!found.is_unbalanced()).then_some(found.utilisation.value);
        let verdict = Verdict::of(found.utilisation, limit);
        let at_s = stances.time_s(structure, found.share);
        return Ok(Some(Stretched { movers, verdict, utilisation, at_s }));
    }
    let share = |mover: ModuleId| {
        let own = span.steps.iter().map(|&step| &plan.steps[step]);
        own.filter(|step| step.module == members[mover.index()] && step.duration_s > 0.0)
            .map(|step| (step.end_s() - from_s) / step.duration_s)
            .fold(0.0, f64::max)
    };
    let going_on = Failed::going_on(wanted, share);
    let mut hint = WarmStart::default();
    let within = BOUNDS.map(|share| (share * limit, Verdict::Stands));
    for (bound, verdict) in within.into_iter().chain([(ALL, Verdict::UsesMargin)]) {
        if going_on.carries_at_any_pace(bound, &mut hint, interrupt)? {
            return Ok(Some(Stretched { movers, verdict, utilisation: Some(bound), at_s: from_s }));
        }
    }
    Ok(Some(Stretched { movers, verdict: Verdict::NotProven, utilisation: None, at_s: from_s }))
}
