//! Best-first A* over trips (Hart, Nilsson & Raphael 1968; weighted as in Pohl 1970).
//!
//! The cost is the time of all trips one after the other. The estimate is the cheapest assignment of modules to slots by straight line
//! and necessary hops, which never exceeds what trips one after the other still need; with weight 1 the sequence of trips is the
//! shortest over the spots that are tried.

use crate::search::frontier::best_first::{Order, search_from_start};
use crate::search::planner::Task;
use crate::search::{Outcome, Planner};

/// The weight where none is given: answers nearly as soon as with more, and often shorter.
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
