//! A sequence of moves in, a timed plan out.
//!
//! | stage | file | what it does |
//! |---|---|---|
//! | 1 | `sequence` | trips to yaws, slides and hops, one after the other, holds left aside |
//! | 2 | `bracing` | as few braces and releases as the sequence can do with |
//! | 3 | `order` | which step has to wait for which, and the earliest starts |
//! | 4 | `local_search` | another sequence of the same moves that ends sooner |
//! | 5 | `timing` | the plan with all its figures |

mod antichains;
pub(crate) mod arrangement;
mod bracing;
mod crew;
mod delays;
mod drive_sequence;
mod error;
mod figures;
mod hitting_set;
pub(crate) mod known_loads;
mod loads;
mod local_search;
mod network;
mod objective;
mod one_by_one;
mod order;
#[cfg(test)]
mod order_tests;
pub(crate) mod sequence;
#[cfg(test)]
mod sets_tests;
mod side_by_side;
pub(crate) mod splitting;
#[cfg(test)]
mod splitting_tests;
mod structure;
mod timing;
mod utilisations;

pub use delays::first_step_that_needs_the_clock;
pub use error::ScheduleError;
pub use network::Network;
pub use objective::Objective;
pub use one_by_one::{one_by_one, one_by_one_bare};
pub use sequence::moves_of_trips;
pub use side_by_side::{SideBySide, side_by_side, trade_offs};

/// Pause between a step and one that waits for it, in seconds: time to settle, and at no instant are both under way.
pub const PAUSE_S: f64 = 0.001;
