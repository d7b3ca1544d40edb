//! The course of a plan: the pose and the load of every module at every instant, for display.
//!
//! A [`Course`] replays a plan. For every module it gives the [`Leg`]s on which it moves and what it [`Stand`]s on; for every structure the [`Span`]s of
//! time in which it and the moves in it stay the same, with the loads of its bonds; for every step the smallest gap. So a crew of many small structures
//! costs little more than each of them. It does not check anything: that is the task of [`check`](crate::check), which shares no code with this layer.

mod build;
mod figures;
mod gaps;
mod leg;
mod span;
mod tracking;

pub use crate::motion::structure_utilisations::Gravity;
pub use build::{Course, CourseError, Stand};
pub use figures::{Moment, UTILISATION_DRIFT};
pub use gaps::{GAP_DRIFT_M, GapAt, StepGaps};
pub use leg::Leg;
pub use span::Span;
