//! A lower bound on the sum of all move durations, for plans that make one move at a time.

use super::own::own_time_s;
use crate::model::{Body, ModuleId, Problem};
use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// Time that stands for "this module cannot fill this slot".
const NEVER_S: f64 = 1e9;

/// A lower bound on the sum of the durations of all moves of any plan, in seconds, and so on the makespan of plans that make one move at a time.
/// Infinite if no assignment exists.
///
/// The cheapest assignment of modules to slots, each with its own drives and hops. For modules to gather: one hop onto a host and one off it. What
/// [`makespan_lower_bound_s`](super::makespan_lower_bound_s) ignores is ignored here too, and so are the moves of modules that only help. Complexity:
/// one assignment, cubic in the modules.
#[must_use]
pub fn total_move_time_lower_bound_s(problem: &Problem) -> f64 {
    slots_s(problem).max(gather_s(problem))
}

fn slots_s(problem: &Problem) -> f64 {
    let (rows, columns) = (problem.goal.slots.len(), problem.modules.len());
    if rows == 0 {
        return 0.0;
    }
    if rows > columns {
        return f64::INFINITY;
    }
    // Rounded down to whole microseconds so that the sum stays a lower bound.
    let micros = |slot, m| (own_time_s(problem, slot, ModuleId::at(m)).min(NEVER_S) * 1e6).floor() as i64;
    let sum_s =
        kuhn_munkres_min(&Matrix::from_fn(rows, columns, |(slot, m)| micros(slot, m))).0 as f64 * 1e-6;
    if sum_s < NEVER_S { sum_s } else { f64::INFINITY }
}

fn gather_s(problem: &Problem) -> f64 {
    let Some(gather) = problem.goal.gather else { return 0.0 };
    let mut times: Vec<f64> = problem
        .module_ids()
        .map(|m| match problem.start.get(m).host {
            Body::Ground(deck) if problem.are_linked(deck, gather.ground) => 0.0,
            Body::Ground(_) => 2.0 * problem.kind(m).hop_time_s,
            Body::Module(_) | Body::Stone(_) => problem.kind(m).hop_time_s,
        })
        .collect();
    times.sort_by(f64::total_cmp);
    if gather.count > times.len() { f64::INFINITY } else { times[..gather.count].iter().sum() }
}
