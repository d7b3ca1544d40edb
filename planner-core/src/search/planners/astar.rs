//! Best-first search over trips (A*: Hart, Nilsson & Raphael 1968; weighted A*: Pohl 1970).
//!
//! The cost is the total time of the trip sequence. The estimate is the cheapest assignment of modules to slots by straight lines and necessary hops,
//! which never exceeds the time that a trip sequence still needs. With weight 1 the trip sequence is the shortest over the spots that are tried.

use crate::search::frontier::best_first::{Order, search_from_start};
use crate::search::planner::Task;
use crate::search::{Outcome, Planner};

/// The default weight: answers nearly as soon as with a larger one, and often shorter.
const WEIGHT: f64 = 3.0;

/// Best-first A* over trips.
#[derive(Clone, Copy, Debug, Default)]
pub struct AStar;

impl Planner for AStar {
    fn name(&self) -> &'static str {
        "astar"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let weight = task.options.weight.unwrap_or(WEIGHT);
        Outcome::of_search(task.problem, search_from_start(task, Order::Cost(weight), weight))
    }
}
