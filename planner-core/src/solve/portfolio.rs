//! Runs all planners in parallel, each with a small and then growing number of expansions; the first to solve wins.

use crate::control::{Budget, Interrupt, Stopped};
use crate::model::Problem;
use crate::plan::Status;
use crate::search::planner::{FAST_WEIGHT, Task};
use crate::search::{
    AStar, Beam, Bridging, NoObserver, NoveltyFirst, Options, Outcome, Planner, SearchProgress, Statistics,
    Stoppers, TakingApart, Walking,
};
use rayon::prelude::*;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Expansions of every planner in the first round.
const FIRST: u64 = 128;
/// The same of the first planner where a deck has to be reached: bridging raises its effort by itself.
const FIRST_TO_GATHER: u64 = 1024;
/// There the others get the expansions divided by this number.
const OTHERS_TO_GATHER: u64 = 32;
/// Crews of at most this size are searched quickly.
const FEW: usize = 3;
/// In a larger crew the first round is the first planner's: a single expansion takes the others longer than it needs for a plan, if it finds one.
const LARGEST_SHARED: usize = 40;
/// Factor on the expansions from round to round.
const MORE: u64 = 8;
/// Number of rounds: in the last the planners may expand more than thirty million configurations.
const ROUNDS: u32 = 7;

/// A portfolio of all planners.
///
/// In every round all planners start again, each with a number of expansions that grows from round to round. The winner is the first in the list that
/// solves in the earliest round, however long the others take, so the answer depends on no clock and no number of threads. Planners behind one that
/// has solved are stopped, except those that are awaited; their solutions are alternatives.
#[derive(Clone, Copy, Debug, Default)]
pub struct Portfolio;

impl Planner for Portfolio {
    fn name(&self) -> &'static str {
        "auto"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let (problem, budget) = (task.problem, task.budget);
        let (mut done, mut stoppers) = (Statistics::default(), Stoppers::default());
        let mut expansions = if problem.goal.gather.is_some() { FIRST_TO_GATHER } else { FIRST };
        let mut best: Option<Outcome> = None;
        for number in 0..ROUNDS {
            let outcomes = decided(round(task, expansions, number == 0), awaited(problem));
            done = outcomes.iter().fold(done, |sum, outcome| sum.plus(outcome.statistics));
            outcomes.iter().for_each(|outcome| stoppers.merge(&outcome.stoppers));
            let is_full = outcomes.iter().all(|outcome| outcome.stop == Some(Stopped::Full));
            task.observer.progress(&SearchProgress { statistics: done, nearest_s: f64::INFINITY });
            let is = |status: Status| outcomes.iter().position(|o| o.status == status);
            if let Some(index) = is(Status::Solved).or(is(Status::Cancelled)) {
                let walks = Walking::suits(problem).filter(|_| is(Status::Solved) == Some(0));
                let note = walks.map(|why| why.to_string());
                best = Some(Outcome { note, ..with_alternatives(outcomes, index) });
                break;
            }
            // No planner has solved it: keep the outcome with the most trips.
            let note = outcomes.first().and_then(|first| first.note.clone());
            let part = outcomes.into_iter().max_by_key(|o| o.trips.len());
            best = part.or(best);
            let stop = budget.spent(done.expanded, 0).or(is_full.then_some(Stopped::Full));
            if let Some(outcome) = best.as_mut().filter(|_| stop.is_some()) {
                outcome.stop = stop;
                let unsuited = || Walking::unsuited(problem).map(|reason| reason.to_string());
                outcome.note = note.or_else(unsuited).or(outcome.note.take());
                break;
            }
            expansions *= MORE;
        }
        let mut outcome = best.unwrap_or_else(|| Outcome::stopped(problem, Stopped::Spent));
        (outcome.statistics, outcome.stoppers) = (done, stoppers);
        if outcome.status == Status::BudgetSpent && budget.interrupt.asked() == Some(Stopped::Cancelled) {
            (outcome.status, outcome.stop) = (Status::Cancelled, Some(Stopped::Cancelled));
        }
        outcome
    }
}

/// Removes the outcomes of planners that were, or might have been, stopped because one before them in the list had solved: their results depend on
/// timing.
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

/// The planners that suit a goal, the most promising first.
fn planners(problem: &Problem) -> Vec<Box<dyn Planner>> {
    if problem.goal.gather.is_some() {
        vec![Box::new(Bridging), Box::new(NoveltyFirst), Box::new(AStar), Box::new(Beam)]
    } else if Walking::suits(problem).is_some() {
        vec![Box::new(Walking), Box::new(TakingApart), Box::new(AStar), Box::new(NoveltyFirst)]
    } else {
        vec![Box::new(TakingApart), Box::new(AStar), Box::new(NoveltyFirst), Box::new(Beam)]
    }
}

/// How many of them continue after one before them has solved. Where a shape is taken apart first, another planner may find a shorter way; from the
/// ground every module goes directly to its place. Few modules to gather are another case, for which `bridging` does too much.
fn awaited(problem: &Problem) -> usize {
    let is_on_the_ground = problem.start.iter().all(|(_, place)| place.host.ground().is_some());
    match problem.goal.gather {
        Some(_) if problem.modules.len() <= FEW => 3,
        Some(_) => 1,
        None if is_on_the_ground || Walking::suits(problem).is_some() => 1,
        None => 2,
    }
}

/// One round: every planner with a number of expansions, in the first one also A* with its own weight.
fn round(task: &Task<'_>, expansions: u64, is_first: bool) -> Vec<Outcome> {
    let (problem, budget) = (task.problem, task.budget);
    let solved = AtomicUsize::new(usize::MAX);
    // The expansions are few, and what they find is shortened.
    let fast = Options { weight: task.options.weight.or(Some(FAST_WEIGHT)), ..*task.options };
    let mut planners = planners(problem);
    // An answer that is far with a large weight may be near with a smaller one, and is shorter than what the last two find.
    let has_patient = is_first && problem.goal.gather.is_none() && task.options.weight.is_none();
    let patient = has_patient.then_some(planners.len() - 2);
    if let Some(index) = patient {
        planners.insert(index, Box::new(AStar));
    }
    if is_first && problem.modules.len() > LARGEST_SHARED {
        planners.truncate(1);
    }
    let others = if problem.goal.gather.is_some() { OTHERS_TO_GATHER } else { 1 };
    planners
        .par_iter()
        .enumerate()
        .map(|(index, planner)| {
            let interrupt = || {
                let behind = index >= awaited(problem) && solved.load(Ordering::Relaxed) < index;
                budget.interrupt.asked().or(behind.then_some(Stopped::Spent))
            };
            if let Some(stop) = interrupt() {
                return Outcome::stopped(problem, stop);
            }
            let is_patient = Some(index) == patient;
            let share = if index == 0 { expansions } else { expansions / others };
            let own = Budget {
                expansions: share.min(budget.expansions),
                bytes: budget.bytes / planners.len() as u64,
                interrupt: Interrupt::new(&interrupt),
            };
            let options = if is_patient { task.options } else { &fast };
            let outcome = planner.search(&Task { problem, options, budget: &own, observer: &NoObserver });
            if outcome.status == Status::Solved {
                solved.fetch_min(index, Ordering::Relaxed);
            }
            outcome
        })
        .collect()
}
