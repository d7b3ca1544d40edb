//! Best-first A* over trips (Hart, Nilsson & Raphael 1968; weighted as in Pohl 1970).
//!
//! The cost is the time of all trips one after the other. The estimate is the cheapest assignment of modules to slots by straight line
//! and necessary hops, which never exceeds what trips one after the other still need; with `greed` 1 the sequence of trips is the
//! shortest over the spots that are tried.

use super::assignment::Targets;
use super::best_first::{Order, Search};
use super::goal::is_met_apart_from_holds;
use super::planner::{InputError, Observer, Options, Planner, validate};
use super::{Budget, Outcome, impossible_goal};
use crate::model::Problem;

/// Greed where none is given: answers nearly as soon as with more, and often shorter.
const GREED: f64 = 3.0;

/// Best-first A* over trips.
#[derive(Clone, Copy, Debug, Default)]
pub struct AStar;

impl Planner for AStar {
    fn name(&self) -> &'static str {
        "astar"
    }

    fn plan(
        &self,
        problem: &Problem,
        options: &Options,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Outcome, InputError> {
        validate(problem, options)?;
        if let Some(proof) = impossible_goal(problem) {
            return Ok(Outcome::impossible(problem, &proof));
        }
        let targets = Targets::new(problem);
        let greed = options.greed.unwrap_or(GREED);
        let search = Search {
            problem,
            seed: options.seed,
            order: Order::Cost(greed),
            worth_s: options.worth_s,
            is_goal: &|c| is_met_apart_from_holds(problem, c),
            estimate: &|c| targets.estimate_s(problem, c, greed),
        };
        let found = search.run(&targets, budget, observer);
        Ok(Outcome::of_search(problem, found))
    }
}
