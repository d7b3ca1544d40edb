//! Whether a configuration of the search meets the goal, where holds can still be chosen.

use crate::model::{Configuration, Problem};
use crate::motion::load_with_payloads;
use crate::statics::LoadCase;

/// Whether places, hosts and counts are right, and the shape carries its own weight and the payloads with the holds asked for; where none is asked
/// for, with the hold that each module has.
pub(crate) fn is_met_apart_from_holds(problem: &Problem, configuration: &Configuration) -> bool {
    let gathered = problem.goal.gather.is_none_or(|g| problem.gathered(configuration) >= Some(g.count));
    gathered
        && final_load(problem, configuration).is_some_and(|case| case.carries(problem.limits.utilisation()))
}

/// How far the slots are from carrying their payloads: 0 when they carry them; 4 when they are not all filled; otherwise 1 plus the excess of the
/// worst bond over its limit, at most 4.
pub(crate) fn payload_shortfall(problem: &Problem, configuration: &Configuration) -> f64 {
    if problem.goal.slots.iter().all(|slot| slot.payload_kg == 0.0) {
        return 0.0;
    }
    let limit = problem.limits.utilisation();
    let Some(case) = final_load(problem, configuration) else { return 4.0 };
    if case.carries(limit) {
        return 0.0;
    }
    let utilisation = case.worst();
    let weight_n: f64 =
        problem.module_ids().map(|m| problem.mass_kg(m)).sum::<f64>() * problem.site.gravity_mps2;
    1.0 + (utilisation.value / limit - 1.0).max(utilisation.excess_n / weight_n).clamp(0.0, 3.0)
}

/// The load case of the final shape with its payloads and the holds asked for; `None` while slots are empty.
fn final_load(problem: &Problem, configuration: &Configuration) -> Option<LoadCase> {
    let filling = problem.fillers(configuration);
    let mut last = configuration.clone();
    for (slot, filler) in problem.goal.slots.iter().zip(&filling) {
        match (filler, slot.hold) {
            (Some(module), Some(hold)) => last.get_mut(*module).hold = hold,
            (None, _) if !slot.optional => return None,
            _ => {}
        }
    }
    Some(load_with_payloads(problem, &last, &filling))
}

/// How much of the goal is missing: the number of empty slots and of modules still to gather.
pub(crate) fn missing(problem: &Problem, configuration: &Configuration) -> usize {
    let fillers = problem.fillers(configuration);
    let empty =
        problem.goal.slots.iter().zip(fillers).filter(|(s, filler)| filler.is_none() && !s.optional).count();
    let away = match (problem.goal.gather, problem.gathered(configuration)) {
        (Some(gather), Some(count)) => gather.count.saturating_sub(count),
        _ => 0,
    };
    empty + away
}
