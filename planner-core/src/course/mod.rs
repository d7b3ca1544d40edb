//! The course of a plan: the pose and the load of every module at every instant, for display.
//!
//! A [`Course`] replays a plan. For every module it gives the [`Leg`]s on which it moves. For every [`Span`] of time in which the moves under way
//! stay the same it gives the load of each bond and the smallest gap. It does not check anything: that is the task of [`check`](crate::check), which
//! shares no code with this layer.

mod build;
mod leg;
mod moment;
mod parts;
mod sampling;
mod span;

pub use build::{Course, CourseError};
pub use leg::Leg;
pub use moment::Moment;
pub use sampling::{GAP_DRIFT_M, UTILISATION_DRIFT};
pub use span::Span;
