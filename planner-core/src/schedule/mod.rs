//! A sequence of trips in, a timed plan out.
//!
//! Here one move follows the other with a short pause between, so that at no instant two moves are under way. Braces are put in where a
//! move or the final shape needs them.

mod bracing;
mod one_by_one;
mod sequence;

pub use one_by_one::{PAUSE_S, ScheduleError, one_by_one};
pub use sequence::moves_of_trips;
