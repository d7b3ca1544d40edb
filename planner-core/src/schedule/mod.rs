//! Scheduling: a sequence of moves in, a timed plan out.
//!
//! | stage | file | what it does |
//! |---|---|---|
//! | 1 | `sequence` | trips to yaws, slides and hops, one after the other, without holds |
//! | 2 | `bracing` | the fewest braces and releases for the sequence |
//! | 3 | `order` | the precedences among steps, and the earliest starts |
//! | 4 | `local_search` | another sequence of the same moves with a shorter makespan |
//! | 5 | `timing` | the plan; the check fills in its utilisations and gaps |

mod antichains;
pub(crate) mod arrangement;
mod arrivals;
#[cfg(test)]
mod arrivals_tests;
mod at_once;
mod bracing;
mod crew;
#[cfg(test)]
mod crews_tests;
mod delays;
mod drive_sequence;
mod error;
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
mod pieces;
#[cfg(test)]
mod pieces_tests;
pub(crate) mod sequence;
#[cfg(test)]
mod sets_tests;
mod side_by_side;
pub(crate) mod splitting;
#[cfg(test)]
mod splitting_tests;
mod time_use;
mod timing;
#[cfg(test)]
mod trees_tests;

pub use at_once::{Share, at_once};
pub use delays::first_step_that_needs_the_clock;
pub use error::ScheduleError;
pub use network::Network;
pub use objective::{Objective, dominates};
pub use one_by_one::one_by_one;
pub use sequence::moves_of_trips;
pub use side_by_side::{SideBySide, at_several_limits, quickly_side_by_side, side_by_side};
pub(crate) use side_by_side::{in_pieces, list_scheduled};
pub use time_use::{CriticalWait, TimeUse, WaitReason};
pub use timing::Heading;

/// Pause between a step and one that waits for it, in seconds: time to settle, so that at no instant both are under way.
pub const PAUSE_S: f64 = 0.001;
