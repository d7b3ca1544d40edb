//! Novelty-guided best-first search (width-based search: Lipovetzky & Geffner, ECAI 2012; best-first: AAAI 2017).
//!
//! A configuration is described by facts: which module stands on what, in which cell, at which height. Its novelty is high if few facts together were
//! never seen before, among configurations that lack equally much of the goal. The most novel configurations are expanded first, whatever the
//! estimate says, so helper structures that lead away from the goal at first are tried.

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
