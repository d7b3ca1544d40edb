//! The entry point: an anytime solver.
//!
//! [`solve`] runs the portfolio of planners, the search for trip sequences with a shorter makespan, timing, bracing and the check. The command-line
//! tool, the benchmark and the bindings call nothing else.

mod anytime;
mod apart;
mod changes;
mod control;
mod fitted_slots;
mod in_pieces;
#[cfg(test)]
mod in_pieces_tests;
mod incumbent;
mod options;
mod other_crossings;
mod portfolio;
mod rearranging;
mod settled_slots;
mod several_starts;
mod solution;
mod spare_moves;
mod trade_offs;
mod trip_goals;
mod trouble;

pub use anytime::solve;
pub use control::{Control, Phase, Progress, Signal};
pub use options::{SolveOptions, Strategy};
pub use portfolio::Portfolio;
pub use rearranging::{Offer, Rearranged, rearrange};
pub use solution::{Report, Solution, Unsolved};
