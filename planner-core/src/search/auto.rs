//! All planners side by side, each with little work at first and then with more; the first to solve wins, and its plan is shortened.

use super::planner::{InputError, Observer, Options, Planner, Progress, validate};
use super::{
    AStar, Beam, Bridging, Budget, NoObserver, NoveltyFirst, Outcome, Statistics, Stop, TakingApart,
    impossible_goal, improve, makespan_lower_bound_s,
};
use crate::model::Problem;
use crate::motion::Status;
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Configurations that the most promising planner may expand in the first round.
const FIRST: u64 = 32;
/// How many times less the others may.
const OTHERS: u64 = 4;
/// How much more in every next round.
const MORE: u64 = 4;
/// Rounds: after the last a planner may have expanded some four million configurations.
const ROUNDS: u32 = 10;

/// A portfolio of all planners.
///
/// In every round all planners start again, each with a number of expansions that grows from round to round. The winner is the first in the list that solves in the
/// earliest round, however long the others take, so the answer depends on no clock and no number of threads; planners behind one that has
/// solved are stopped. Then the plan is shortened by [`improve`].
#[derive(Clone, Copy, Debug, Default)]
pub struct Auto;

impl Planner for Auto {
    fn name(&self) -> &'static str {
        "auto"
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
        let mut done = Statistics::default();
        let mut expansions = FIRST;
        let mut best: Option<Outcome> = None;
        for _ in 0..ROUNDS {
            let outcomes = round(problem, options, budget, expansions)?;
            done = outcomes.iter().fold(done, |sum, outcome| sum.plus(outcome.statistics));
            observer.progress(&Progress { statistics: done, nearest_s: f64::INFINITY });
            let ended = outcomes.iter().position(|o| {
                matches!(o.status, Status::Solved | Status::ProvedImpossible | Status::Cancelled)
            });
            if let Some(index) = ended {
                best = outcomes.into_iter().nth(index);
                break;
            }
            // Nobody is done: keep what leads farthest, by the number of trips it has to show.
            let part = outcomes.into_iter().max_by_key(|o| o.trips.len());
            best = part.or(best);
            if budget.spent(done.expanded, 0).is_some() {
                break;
            }
            expansions *= MORE;
        }
        let mut outcome = best.unwrap_or_else(|| unsolved(problem));
        outcome.statistics = done;
        if outcome.status == Status::BudgetSpent && (budget.interrupt)() == Some(Stop::Cancelled) {
            outcome.status = Status::Cancelled;
        }
        if outcome.status == Status::Solved {
            observer.better(&outcome);
            outcome.trips = improve(problem, &outcome.trips, options.polish, budget);
        }
        Ok(outcome)
    }
}

/// The planners that suit a goal, the most promising first.
fn planners(problem: &Problem) -> Vec<Box<dyn Planner>> {
    if problem.goal.gather.is_some() {
        vec![Box::new(Bridging), Box::new(NoveltyFirst), Box::new(AStar), Box::new(Beam)]
    } else {
        vec![Box::new(AStar), Box::new(TakingApart), Box::new(NoveltyFirst), Box::new(Beam)]
    }
}

/// One round: every planner with a number of expansions.
fn round(
    problem: &Problem,
    options: &Options,
    budget: &Budget<'_>,
    expansions: u64,
) -> Result<Vec<Outcome>, InputError> {
    let solved = AtomicUsize::new(usize::MAX);
    planners(problem)
        .par_iter()
        .enumerate()
        .map(|(index, planner)| {
            let interrupt = || {
                let behind = solved.load(Ordering::Relaxed) < index;
                (budget.interrupt)().or(behind.then_some(Stop::Spent))
            };
            let share = if index == 0 { expansions } else { expansions / OTHERS };
            let own =
                Budget { expansions: share.min(budget.expansions), kept: budget.kept, interrupt: &interrupt };
            let outcome = planner.plan(problem, options, &own, &NoObserver)?;
            if outcome.status == Status::Solved {
                solved.fetch_min(index, Ordering::Relaxed);
            }
            Ok(outcome)
        })
        .collect()
}

fn unsolved(problem: &Problem) -> Outcome {
    Outcome {
        status: Status::BudgetSpent,
        trips: Vec::new(),
        lower_bound_s: makespan_lower_bound_s(problem),
        statistics: Statistics::default(),
        note: None,
    }
}
