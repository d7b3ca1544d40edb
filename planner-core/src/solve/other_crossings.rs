//! Crossings over other structures than those of the first solution: from the start, or from where a solution has come to.

use super::trip_goals::TripGoals;
use crate::control::{Budget, Interrupt, Stopped};
use crate::model::{Configuration, Problem};
use crate::plan::Status;
use crate::search::planner::{FAST_WEIGHT, Task};
use crate::search::trips::trip_sequence::TripSequence;
use crate::search::{Bridging, NoObserver, Options, Planner};
use crate::travel::Trip;
use rayon::prelude::*;
use std::sync::atomic::{AtomicU64, Ordering};

/// Number of further solutions that are searched for in a round.
const OTHERS: u64 = 6;
/// The patience at which the whole effort is spent: the default of [`SolveOptions`](super::SolveOptions).
const USUAL_PATIENCE: u64 = 400;
/// Most expansions of each search.
const EXPANSIONS: u64 = 1024;
/// Effort of each search from the start, as the number of times that its interrupt is polled.
const EFFORT: u64 = 400_000;
/// The same for a search from where a solution has come to.
const LITTLE_EFFORT: u64 = 10_000;

/// Other solutions of a goal to gather, by other seeds in every round and over other structures; those that are found soon. `patience` below
/// [`USUAL_PATIENCE`] reduces the effort.
pub(super) fn other_solutions(
    problem: &Problem,
    (seed, round): (u64, u64),
    patience: u64,
    budget: &Budget<'_>,
) -> Vec<Vec<Trip>> {
    let own = Budget { bytes: budget.bytes / OTHERS, ..*budget };
    let effort = EFFORT.saturating_mul(patience.min(USUAL_PATIENCE)) / USUAL_PATIENCE;
    let search = |index: u64| {
        let seed = seed.wrapping_add(round * OTHERS + index);
        another(problem, &problem.start, seed, index.is_multiple_of(2), effort, &own)
    };
    let found: Vec<Option<Vec<Trip>>> = (1..=OTHERS).into_par_iter().map(search).collect();
    found.into_iter().flatten().collect()
}

/// The goals of a solution up to one of its stops, and of another crossing from there on; `None` if none is found soon.
pub(super) fn crossed_anew(
    problem: &Problem,
    (goals, sequence): (&TripGoals, &TripSequence),
    from: usize,
    seed: u64,
    budget: &Budget<'_>,
) -> Option<TripGoals> {
    let start = &sequence.stops[from];
    let trips = another(problem, start, seed, true, LITTLE_EFFORT, budget)?;
    let rest = TripGoals::of(&Problem { start: start.clone(), ..problem.clone() }, &trips)?;
    Some(TripGoals { goals: [&goals.goals[..from], &rest.goals].concat() })
}

/// The crossing that is found with a seed; where it `skips` some, not always over the first structure that would do.
fn another(
    problem: &Problem,
    start: &Configuration,
    seed: u64,
    skips: bool,
    effort: u64,
    budget: &Budget<'_>,
) -> Option<Vec<Trip>> {
    let asks = AtomicU64::new(0);
    let interrupt = || {
        let spent = asks.fetch_add(1, Ordering::Relaxed) >= effort;
        budget.interrupt.asked().or(spent.then_some(Stopped::Spent))
    };
    let budget = Budget { expansions: EXPANSIONS, interrupt: Interrupt::new(&interrupt), ..*budget };
    let options = Options { seed, weight: Some(FAST_WEIGHT), ..Options::default() };
    let problem = &Problem { start: start.clone(), ..problem.clone() };
    let task = Task { problem, options: &options, budget: &budget, observer: &NoObserver };
    let outcome = if skips { Bridging::another(&task) } else { Bridging.search(&task) };
    (outcome.status == Status::Solved).then_some(outcome.trips)
}
