//! What comes of `solve`.

use crate::check::Finding;
use crate::plan::{Plan, Status};
use crate::schedule::ScheduleError;
use crate::search::{Impossible, Statistics, Stoppers};

/// The answer of [`solve`](crate::solve()).
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Solution {
    /// How it ended.
    pub status: Status,
    /// The timed plan. [`Status::Solved`]: it leads to the goal and has passed the check. [`Status::BudgetSpent`] and [`Status::Cancelled`]: it
    /// leads to the most promising configuration found and is sound as far as it goes; no steps if there is none. [`Status::ProvedImpossible`]:
    /// no steps.
    pub plan: Plan,
    /// The certificate of an impossible goal, which [`Impossible::verify`] checks by another way than it was found.
    pub proof: Option<Impossible>,
    /// What else is known.
    pub report: Report,
    /// What the search did.
    pub statistics: Statistics,
}

/// What is known beside the plan.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Report {
    /// No plan for the problem has a shorter makespan, in seconds; infinite for an impossible goal.
    pub lower_bound_s: f64,
    /// Why there is no solution.
    pub unsolved: Option<Unsolved>,
    /// Whether all was tried that was to be tried; if not, more time may give a better plan.
    pub complete: bool,
    /// Braces and releases in the plan; `None` where they were not chosen to be few.
    pub hold_moves: Option<usize>,
    /// No plan with the drives in this order has fewer braces and releases.
    pub hold_moves_at_least: usize,
    /// Checked timings of the same moves of which none is better in everything, the soonest first; only if asked for.
    pub trade_offs: Vec<Plan>,
    /// Moves that were refused because the load was not carried, by cause.
    pub stoppers: Stoppers,
    /// Least estimated time from any configuration found to the goal, in seconds.
    pub nearest_s: Option<f64>,
}

/// Why there is no solution.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Unsolved {
    /// The caller wanted it to finish before a solution was found.
    OutOfTime,
    /// The caller wanted it to stop before a solution was found.
    Cancelled,
    /// The memory was used up.
    OutOfMemory,
    /// A planner had nothing left to try; that proves nothing about places that it does not try. What it says of that.
    Exhausted(String),
    /// A solution was found, but not timed and checked by the time it was wanted: it is not shown.
    NotCheckedInTime {
        /// Its trips.
        trips: usize,
    },
    /// A solution was found that cannot be timed.
    CannotBeTimed(ScheduleError),
    /// A solution was found and timed that does not pass the check. That is a fault of the library.
    FailedCheck(Plan, Vec<Finding>),
}
