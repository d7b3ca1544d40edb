//! The one trait of all planners, and what they are given.

use super::{AStar, Auto, Beam, Bridging, Budget, NoveltyFirst, Outcome, Statistics, TakingApart};
use crate::model::Problem;
use crate::motion::faults_at_rest;

/// A planner.
pub trait Planner: Sync {
    /// Its name in files and on the command line.
    fn name(&self) -> &'static str;

    /// Searches for trips that take the crew from the problem's start to its goal.
    ///
    /// The same problem, options and number of expansions give the same outcome, on any number of threads.
    ///
    /// # Errors
    /// When the problem makes no sense: no goal, or an unsound start.
    fn plan(
        &self,
        problem: &Problem,
        options: &Options,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Outcome, InputError>;
}

/// Choices that every planner understands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Breaks ties.
    pub seed: u64,
    /// How much the estimated rest of the way counts against the way so far: 1 for the shortest sequence of trips over the spots tried,
    /// more for an answer sooner. At least 1; `None` for what suits the planner.
    pub greed: Option<f64>,
    /// Trips that take longer than this all told are of no use: there is a plan as good already. In seconds.
    pub worth_s: f64,
    /// How many searches for trips of one module [`improve`](super::improve) may spend on shortening a plan. For planners that do.
    pub polish: u64,
}

impl Default for Options {
    fn default() -> Self {
        Self { seed: 1, greed: None, worth_s: f64::INFINITY, polish: 800 }
    }
}

/// Greed for an answer soon.
pub(super) const HASTE: f64 = 5.0;

/// Why a problem cannot be searched at all.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum InputError {
    /// Nothing is asked for.
    #[error("the scene has no goal: add [[goal.slot]] or [goal.gather]")]
    NoGoal,
    /// The start breaks rules.
    #[error("the start is not sound: {0}")]
    UnsoundStart(String),
    /// An option is out of range.
    #[error("greed is {0}; it must be a number of at least 1")]
    Greed(f64),
}

/// A look at a running search.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Progress {
    /// What was done so far.
    pub statistics: Statistics,
    /// Least estimated time to go of any configuration found, in seconds.
    pub nearest_s: f64,
}

/// Hears of progress.
pub trait Observer: Sync {
    /// Called now and then, always from the thread that called the planner.
    fn progress(&self, progress: &Progress);

    /// Called, from the same thread, with every solution that is better than those before, if the planner goes on to look for more.
    fn better(&self, _outcome: &Outcome) {}
}

/// Hears nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct NoObserver;

impl Observer for NoObserver {
    fn progress(&self, _: &Progress) {}
}

/// The planners by name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlannerName {
    /// All of them side by side, and then the improver.
    Auto,
    /// Best-first over trips.
    AStar,
    /// Takes the goal apart and runs it backwards.
    TakingApart,
    /// What was not seen before first.
    Novelty,
    /// The best few of every number of trips.
    Beam,
    /// Builds structures over which the crew gets from deck to deck.
    Bridging,
}

impl PlannerName {
    /// All of them with their names.
    pub const ALL: [(Self, &'static str); 6] = [
        (Self::Auto, "auto"),
        (Self::AStar, "astar"),
        (Self::TakingApart, "taking-apart"),
        (Self::Novelty, "novelty"),
        (Self::Beam, "beam"),
        (Self::Bridging, "bridging"),
    ];

    /// The planner itself.
    #[must_use]
    pub fn planner(self) -> Box<dyn Planner> {
        match self {
            Self::Auto => Box::new(Auto),
            Self::AStar => Box::new(AStar),
            Self::TakingApart => Box::new(TakingApart),
            Self::Novelty => Box::new(NoveltyFirst),
            Self::Beam => Box::new(Beam),
            Self::Bridging => Box::new(Bridging),
        }
    }
}

/// Refuses what no planner can work on.
pub(super) fn validate(problem: &Problem, options: &Options) -> Result<(), InputError> {
    if let Some(greed) = options.greed.filter(|greed| !(*greed >= 1.0 && greed.is_finite())) {
        return Err(InputError::Greed(greed));
    }
    if problem.goal.is_empty() {
        return Err(InputError::NoGoal);
    }
    match faults_at_rest(problem, &problem.start).first() {
        Some(fault) => Err(InputError::UnsoundStart(fault.describe(problem))),
        None => Ok(()),
    }
}
