//! How far an unsolved plan goes.

use crate::wording;
use clamber_core::unstable::motion::apply;
use clamber_core::{Configuration, Plan, Problem};

/// `2 of 3 slots filled, 1 of 4 modules gathered on sill`.
pub(crate) fn describe(problem: &Problem, plan: &Plan) -> String {
    let last = last(problem, plan);
    let mut parts = Vec::new();
    let slots = problem.goal.slots.len();
    if slots > 0 {
        let filled = problem.fillers(&last).iter().flatten().count();
        parts.push(format!("{} of {} filled", filled, wording::count(slots, "slot")));
    }
    if let (Some(gather), Some(count)) = (problem.goal.gather, problem.gathered(&last)) {
        let deck = &problem.deck_to_gather_on(gather).name;
        parts.push(format!("{count} of {} gathered on {deck}", wording::count(gather.count, "module")));
    }
    parts.join(", ")
}

fn last(problem: &Problem, plan: &Plan) -> Configuration {
    let mut now = problem.start.clone();
    for step in &plan.steps {
        match apply(problem, &now, step.module, &step.action) {
            Ok(after) => now = after,
            Err(_) => break,
        }
    }
    now
}
