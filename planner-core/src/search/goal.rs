//! Whether a configuration of the search will do: the goal, with holds that can still be chosen.

use crate::model::{Configuration, Hold, Problem};
use crate::motion::load_with_payloads;

/// The goal, with the holds it asks for left to the end.
pub(super) struct GoalTest {
    problem: Problem,
    holds: Vec<Option<Hold>>,
}

impl GoalTest {
    pub(super) fn new(problem: &Problem) -> Self {
        let mut without_holds = problem.clone();
        let holds = without_holds.goal.slots.iter_mut().map(|slot| slot.hold.take()).collect();
        Self { problem: without_holds, holds }
    }

    /// Whether places, hosts and counts are right, and the shape carries its own weight and the payloads with the holds asked for.
    pub(super) fn is_met(&self, configuration: &Configuration) -> bool {
        if !self.problem.goal_is_met(configuration) {
            return false;
        }
        let Some(filling) = self.problem.filling(configuration) else { return false };
        let mut last = configuration.clone();
        for (&module, hold) in filling.iter().zip(&self.holds) {
            if let Some(hold) = hold {
                last.get_mut(module).hold = *hold;
            }
        }
        load_with_payloads(&self.problem, &last, &filling).carries(self.problem.limits.utilisation())
    }
}
