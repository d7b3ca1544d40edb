//! The front door: one request, one answer, at any time.
//!
//! [`solve`] holds the portfolio of planners, the search for other trips that end sooner, timing, bracing and the check. The command-line tool, the
//! benchmark and the bindings call nothing else.

mod anytime;
mod control;
mod incumbent;
mod options;
mod portfolio;
mod rearranging;
mod solution;
mod trade_offs;
mod trip_goals;

pub use anytime::solve;
pub use control::{Control, Phase, Progress, Signal};
pub use options::{SolveOptions, Strategy};
pub use portfolio::Portfolio;
pub use rearranging::{Offer, Rearranged, rearrange};
pub use solution::{Report, Solution, Unsolved};
