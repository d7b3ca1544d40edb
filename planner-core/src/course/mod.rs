//! How a plan runs: who is where at every instant, and what holds everybody.
//!
//! A [`Course`] replays a plan for the eye. It says of every module on which [`Leg`]s it moves, and of every [`Span`] of time in which the
//! moves under way stay the same what each bond bears and which gap is the smallest. It judges nothing: that is for
//! [`check`](crate::check), which shares no code with this layer.

mod build;
mod leg;
mod moment;
mod sampling;
mod span;

pub use build::{Course, CourseError};
pub use leg::Leg;
pub use moment::Moment;
pub use sampling::{GAP_DRIFT_M, UTILISATION_DRIFT};
pub use span::Span;
