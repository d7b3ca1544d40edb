//! Pareto-optimal plans of one sequence of moves.

use super::incumbent::{Candidate, Checked};
use crate::control::Budget;
use crate::model::{ModuleId, Problem};
use crate::motion::Move;
use crate::plan::Plan;
use crate::schedule::{Heading, at_several_limits, dominates};

/// Number of limits on utilisation that are tried.
const LEVELS: usize = 5;

/// Checked Pareto-optimal plans of one sequence in makespan, energy, moves and worst utilisation; the shortest makespan first. The limit on
/// utilisation is varied from the least that the sequence allows to the scene's.
pub(super) fn trade_offs(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    heading: &Heading,
    budget: &Budget<'_>,
) -> Vec<Plan> {
    let timed = at_several_limits(problem, moves, heading, LEVELS, budget).unwrap_or_default();
    let needed = budget.interrupt.only_when_cancelled();
    let mut found: Vec<Plan> = Vec::new();
    for candidate in timed {
        let Ok(Checked { plan, .. }) = Candidate::from(candidate).checked(problem, needed) else {
            continue;
        };
        let known = |other: &Plan| dominates(&other.summary, &plan.summary) || other.summary == plan.summary;
        if !found.iter().any(known) {
            found.retain(|other| !dominates(&plan.summary, &other.summary));
            found.push(plan);
        }
    }
    found.sort_by(|a, b| a.summary.makespan_s.total_cmp(&b.summary.makespan_s));
    found
}
