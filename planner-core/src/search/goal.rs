//! Whether a configuration of the search will do: the goal, with holds that can still be chosen.

use crate::model::{Configuration, ModuleId, Problem};
use crate::motion::load_with_payloads;

/// Whether places, hosts and counts are right, and the shape carries its own weight and the payloads with the holds asked for; where none
/// is asked for, with the hold it has.
pub(super) fn is_met_apart_from_holds(problem: &Problem, configuration: &Configuration) -> bool {
    let gathered = problem.goal.gather.is_none_or(|g| problem.gathered(configuration) >= Some(g.count));
    let Some(filling) = problem.fillers(configuration).into_iter().collect::<Option<Vec<ModuleId>>>() else {
        return false;
    };
    if !gathered {
        return false;
    }
    let mut last = configuration.clone();
    for (slot, &module) in problem.goal.slots.iter().zip(&filling) {
        if let Some(hold) = slot.hold {
            last.get_mut(module).hold = hold;
        }
    }
    load_with_payloads(problem, &last, &filling).carries(problem.limits.utilisation())
}
