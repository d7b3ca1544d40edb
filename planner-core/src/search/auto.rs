//! All planners side by side, each with little work at first and then with more; the first to solve wins, and its plan is shortened.

use super::errand::sequence_time_s;
use super::planner::{HASTE, InputError, Observer, Options, Planner, Progress, validate};
use super::{
    AStar, Beam, Bridging, Budget, NoObserver, NoveltyFirst, Outcome, Statistics, Stop, Stoppers,
    TakingApart, impossible_goal, improve,
};
use crate::model::Problem;
use crate::motion::Status;
use crate::travel::Trip;
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Configurations that the favoured planners may expand in the first round.
const FIRST: u64 = 128;
/// And where a deck has to be reached: bridging goes from little work to more by itself.
const FIRST_TO_GATHER: u64 = 1024;
/// How many times less the others may.
const OTHERS: u64 = 8;
/// And where a deck has to be reached.
const OTHERS_TO_GATHER: u64 = 32;
/// Crews of so many or fewer are soon searched.
const FEW: usize = 3;
/// How much more in every next round.
const MORE: u64 = 8;
/// Rounds: in the last the favoured planners may expand more than thirty million configurations.
const ROUNDS: u32 = 7;

/// A portfolio of all planners.
///
/// In every round all planners start again, each with a number of expansions that grows from round to round. The winner is the first in the
/// list that solves in the earliest round, however long the others take, so the answer depends on no clock and no number of threads.
/// Planners behind one that has solved are stopped, but for those that are awaited, whose solutions are alternatives. Then all solutions are
/// shortened by [`improve`]; the shortest is the answer.
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
        let (mut done, mut stoppers) = (Statistics::default(), Stoppers::default());
        let mut expansions = if problem.goal.gather.is_some() { FIRST_TO_GATHER } else { FIRST };
        let mut best: Option<Outcome> = None;
        for _ in 0..ROUNDS {
            let outcomes = round(problem, options, budget, expansions)?;
            let outcomes = decided(outcomes, awaited(problem));
            done = outcomes.iter().fold(done, |sum, outcome| sum.plus(outcome.statistics));
            outcomes.iter().for_each(|outcome| stoppers.merge(&outcome.stoppers));
            let is_full = outcomes.iter().all(|outcome| outcome.stop == Some(Stop::Full));
            observer.progress(&Progress { statistics: done, nearest_s: f64::INFINITY });
            let is = |status: Status| outcomes.iter().position(|o| o.status == status);
            if let Some(index) = is(Status::Solved).or(is(Status::ProvedImpossible)).or(is(Status::Cancelled))
            {
                best = Some(with_alternatives(outcomes, index));
                break;
            }
            // Nobody is done: keep what leads farthest, by the number of trips it has to show.
            let part = outcomes.into_iter().max_by_key(|o| o.trips.len());
            best = part.or(best);
            let stop = budget.spent(done.expanded, 0).or(is_full.then_some(Stop::Full));
            if let Some(outcome) = best.as_mut().filter(|_| stop.is_some()) {
                outcome.stop = stop;
                break;
            }
            expansions *= MORE;
        }
        let mut outcome = best.unwrap_or_else(|| Outcome::stopped(problem, Stop::Spent));
        (outcome.statistics, outcome.stoppers) = (done, stoppers);
        if outcome.status == Status::BudgetSpent && (budget.interrupt)() == Some(Stop::Cancelled) {
            (outcome.status, outcome.stop) = (Status::Cancelled, Some(Stop::Cancelled));
        }
        if outcome.status == Status::Solved {
            observer.better(&outcome);
            polish(problem, &mut outcome, options.polish, budget);
        }
        Ok(outcome)
    }
}

/// Without those who were, or might have been, stopped because somebody before them in the list had solved: how far they came is chance.
fn decided(mut outcomes: Vec<Outcome>, awaited: usize) -> Vec<Outcome> {
    if let Some(winner) = outcomes.iter().position(|o| o.status == Status::Solved) {
        outcomes.truncate(awaited.max(winner + 1));
    }
    outcomes
}

/// One outcome with the trips of all others that solved as alternatives.
fn with_alternatives(mut outcomes: Vec<Outcome>, index: usize) -> Outcome {
    let mut best = outcomes.remove(index);
    if best.status == Status::Solved {
        best.alternatives =
            outcomes.into_iter().filter(|o| o.status == Status::Solved).map(|o| o.trips).collect();
    }
    best
}

/// Shortens every solution; the shortest one trip after the other becomes the answer, the others and the winner as it was found stay as
/// alternatives.
fn polish(problem: &Problem, outcome: &mut Outcome, effort: u64, budget: &Budget<'_>) {
    let found = std::mem::take(&mut outcome.trips);
    let mut solutions: Vec<Vec<Trip>> = std::iter::once(&found)
        .chain(&outcome.alternatives)
        .map(|trips| improve(problem, trips, effort, budget))
        .collect();
    solutions.push(found);
    let time_s = |trips: &Vec<Trip>| sequence_time_s(problem, trips);
    let shortest =
        (0..solutions.len()).min_by(|&a, &b| time_s(&solutions[a]).total_cmp(&time_s(&solutions[b])));
    outcome.trips = shortest.map(|index| solutions.remove(index)).unwrap_or_default();
    outcome.alternatives.clear();
    for trips in solutions {
        if trips != outcome.trips && !outcome.alternatives.contains(&trips) {
            outcome.alternatives.push(trips);
        }
    }
}

/// The planners that suit a goal, the most promising first, and how many of them are favoured.
fn planners(problem: &Problem) -> (Vec<Box<dyn Planner>>, usize) {
    if problem.goal.gather.is_some() {
        (vec![Box::new(Bridging), Box::new(NoveltyFirst), Box::new(AStar), Box::new(Beam)], 1)
    } else {
        (vec![Box::new(TakingApart), Box::new(AStar), Box::new(NoveltyFirst), Box::new(Beam)], 2)
    }
}

/// How many of them go on when one before them has solved. Where a shape is taken apart first, another planner may find a shorter way; from
/// the ground everybody goes straight to its place. And where few are to gather, for whom `bridging` is too ceremonious.
fn awaited(problem: &Problem) -> usize {
    let is_on_the_ground = problem.start.iter().all(|(_, place)| place.host.deck().is_some());
    match problem.goal.gather {
        Some(_) if problem.modules.len() <= FEW => 3,
        Some(_) => 1,
        None if is_on_the_ground => 1,
        None => 2,
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
    // Their expansions are few, and what they find is shortened.
    let hasty = Options { greed: options.greed.or(Some(HASTE)), ..*options };
    let (planners, favoured) = planners(problem);
    let others = if problem.goal.gather.is_some() { OTHERS_TO_GATHER } else { OTHERS };
    planners
        .par_iter()
        .enumerate()
        .map(|(index, planner)| {
            let interrupt = || {
                let behind = index >= awaited(problem) && solved.load(Ordering::Relaxed) < index;
                (budget.interrupt)().or(behind.then_some(Stop::Spent))
            };
            // Whoever has not begun yet need not look at the start first.
            if let Some(stop) = interrupt() {
                return Ok(Outcome::stopped(problem, stop));
            }
            let share = if index < favoured { expansions } else { expansions / others };
            let own = Budget {
                expansions: share.min(budget.expansions),
                bytes: budget.bytes / planners.len() as u64,
                interrupt: &interrupt,
            };
            let outcome = planner.plan(problem, &hasty, &own, &NoObserver)?;
            if outcome.status == Status::Solved {
                solved.fetch_min(index, Ordering::Relaxed);
            }
            Ok(outcome)
        })
        .collect()
}
