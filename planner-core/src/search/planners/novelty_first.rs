//! Novelty-guided best-first search (width-based search: Lipovetzky & Geffner, ECAI 2012; best-first: AAAI 2017).
//!
//! A configuration is described by facts: who stands on what, where, at which height. It is the more novel the fewer facts together were
//! never seen before, among configurations that lack equally much of the goal. What is new is looked at first, whatever the estimate says: so
//! helper structures are tried that lead away from the goal at first.

use crate::search::frontier::best_first::{Order, search_from_start};
use crate::search::planner::{FAST_WEIGHT, Task};
use crate::search::{Outcome, Planner};

/// Novelty-guided best-first search.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoveltyFirst;

impl Planner for NoveltyFirst {
    fn name(&self) -> &'static str {
        "novelty"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let weight = task.options.weight.unwrap_or(FAST_WEIGHT);
        Outcome::of_search(task.problem, search_from_start(task, Order::Novelty, weight))
    }
}
