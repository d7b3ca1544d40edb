//! The trait of all planners, and their input.

use super::{Outcome, Statistics, impossible_goal};
use crate::control::Budget;
use crate::model::{Invalid, Problem};
use crate::motion::faults_at_rest;

/// A planner.
pub trait Planner: Sync {
    /// Its name in files and on the command line.
    fn name(&self) -> &'static str;

    /// Searches for trips that take the crew from the problem's start, which is sound, to its goal, which no certificate rules out.
    ///
    /// The same task and number of expansions give the same outcome, on any number of threads.
    fn search(&self, task: &Task<'_>) -> Outcome;

    /// Validates the problem, then searches.
    ///
    /// # Errors
    /// [`InputError`] when the problem cannot be searched: no goal, an unsound start, or an option out of range.
    fn plan(
        &self,
        problem: &Problem,
        options: &Options,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Outcome, InputError> {
        validate(problem, options)?;
        if let Some(proof) = impossible_goal(problem) {
            return Ok(Outcome::impossible(proof));
        }
        Ok(self.search(&Task { problem, options, budget, observer }))
    }
}

/// Input of a planner.
#[derive(Clone, Copy)]
pub struct Task<'a> {
    /// The problem.
    pub problem: &'a Problem,
    /// Options of the search.
    pub options: &'a Options,
    /// Limits on expansions, memory and time.
    pub budget: &'a Budget<'a>,
    /// Receives progress.
    pub observer: &'a dyn Observer,
}

/// Options that every planner understands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Seed for breaking ties.
    pub seed: u64,
    /// The weight of the estimate against the time so far (weighted A*, Pohl 1970): 1 for the shortest trip sequence over the spots tried, more for
    /// an answer sooner. At least 1; `None` for the planner's default.
    pub weight: Option<f64>,
    /// Upper limit on the total time of trips, in seconds: a plan this good exists already, so longer sequences are discarded.
    pub worth_s: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self { seed: 1, weight: None, worth_s: f64::INFINITY }
    }
}

/// The weight for a quick answer.
pub(crate) const FAST_WEIGHT: f64 = 5.0;

/// Why a problem cannot be searched.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum InputError {
    /// The problem has no goal.
    #[error("the scene has no goal: add [[goal.slot]] or [goal.gather]")]
    NoGoal,
    /// Values make no sense.
    #[error(transparent)]
    Invalid(#[from] Invalid),
    /// The start breaks rules.
    #[error("the start is not sound: {0}")]
    UnsoundStart(String),
    /// An option is out of range.
    #[error("the weight is {0}; it must be a number of at least 1")]
    Weight(f64),
}

/// A snapshot of a running search.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SearchProgress {
    /// Counters so far.
    pub statistics: Statistics,
    /// Least estimated time to go of any configuration found, in seconds.
    pub nearest_s: f64,
}

/// Receives progress.
pub trait Observer: Sync {
    /// Called at irregular intervals, always from the thread that called the planner.
    fn progress(&self, progress: &SearchProgress);
}

/// Ignores progress.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoObserver;

impl Observer for NoObserver {
    fn progress(&self, _: &SearchProgress) {}
}

/// Refuses what no planner can work on.
pub(crate) fn validate(problem: &Problem, options: &Options) -> Result<(), InputError> {
    if let Some(weight) = options.weight.filter(|weight| !(*weight >= 1.0 && weight.is_finite())) {
        return Err(InputError::Weight(weight));
    }
    if problem.goal.is_empty() {
        return Err(InputError::NoGoal);
    }
    match faults_at_rest(problem, &problem.start).first() {
        Some(fault) => Err(InputError::UnsoundStart(fault.describe(problem))),
        None => Ok(()),
    }
}
