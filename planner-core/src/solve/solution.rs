//! The result of `solve`.

use crate::check::Finding;
use crate::model::Problem;
use crate::plan::{Plan, Status};
use crate::schedule::ScheduleError;
use crate::search::{Impossible, Statistics, Stoppers};
use std::fmt;

/// The answer of [`solve`](crate::solve()).
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Solution {
    /// How it ended.
    pub status: Status,
    /// The timed plan. [`Status::Solved`]: it leads to the goal and has passed the check. [`Status::BudgetSpent`] and [`Status::Cancelled`]: a sound
    /// partial plan to the most promising configuration found; without steps if there is none. [`Status::ProvedImpossible`]: no steps.
    pub plan: Plan,
    /// The certificate of an impossible goal, which [`Impossible::verify`] checks by an independent method.
    pub proof: Option<Impossible>,
    /// Bounds and reasons.
    pub report: Report,
    /// Counters of the search.
    pub statistics: Statistics,
}

impl Solution {
    /// Why the goal is not reached, in words: the certificate of an impossible goal; or how the search ended, and what refused most of the moves that it
    /// tried. `None` where the plan reaches the goal.
    #[must_use]
    pub fn reason(&self, problem: &Problem) -> Option<String> {
        if let Some(proof) = &self.proof {
            return Some(proof.describe(problem));
        }
        let ended = self.report.unsolved.as_ref()?.to_string();
        let stopped = self.report.stoppers.clauses(problem);
        Some(std::iter::once(ended).chain(stopped).collect::<Vec<_>>().join("; "))
    }
}

impl fmt::Display for Unsolved {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfTime => f.write_str("the time was up"),
            Self::Cancelled => f.write_str("it was stopped"),
            Self::OutOfMemory => f.write_str("the memory limit was reached"),
            Self::Exhausted(why) => f.write_str(why),
            Self::NotCheckedInTime { trips } => {
                write!(f, "a way in {trips} trips was found, and there was no time to check it")
            }
            Self::CannotBeTimed(error) => write!(f, "a way was found that cannot be timed: {error}"),
            Self::FailedCheck(_, findings) => {
                write!(f, "a way was found that breaks {} rules: an error of this library", findings.len())
            }
        }
    }
}

/// Bounds, reasons and alternatives beside the plan.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Report {
    /// A lower bound on the makespan of every plan for the problem, in seconds; infinite for an impossible goal.
    pub lower_bound_s: f64,
    /// Why there is no solution.
    pub unsolved: Option<Unsolved>,
    /// Whether the search ran to its end; if not, more time may give a better plan.
    pub complete: bool,
    /// Number of braces and releases in the plan; `None` where it was not minimised.
    pub hold_moves: Option<usize>,
    /// A lower bound on that number for plans with the drives in this order.
    pub hold_moves_at_least: usize,
    /// Checked Pareto-optimal timings of the same moves, the shortest makespan first; only if asked for.
    pub trade_offs: Vec<Plan>,
    /// Moves that were refused because the load was not carried, by cause.
    pub stoppers: Stoppers,
    /// Least estimated time from any configuration found to the goal, in seconds.
    pub nearest_s: Option<f64>,
    /// What the planner says, in its own words: why it was chosen, or how far it came before it was stopped and what was in the way there.
    pub note: Option<String>,
}

/// Why there is no solution.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Unsolved {
    /// The caller asked to finish before a solution was found.
    OutOfTime,
    /// The caller asked to stop before a solution was found.
    Cancelled,
    /// The memory limit was reached.
    OutOfMemory,
    /// A planner has exhausted its search space; this proves nothing about places that it does not try. Its own explanation.
    Exhausted(String),
    /// A solution was found, but not timed and checked in time: it is not returned.
    NotCheckedInTime {
        /// The number of its trips.
        trips: usize,
    },
    /// A solution was found that cannot be timed.
    CannotBeTimed(ScheduleError),
    /// A solution was found and timed that does not pass the check. This is an error of the library.
    FailedCheck(Plan, Vec<Finding>),
}
