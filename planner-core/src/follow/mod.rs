//! Follows a plan on real modules: measured states come in, commands go out. No clock and no I/O: the caller says what happened.

mod follower;
mod measured;
mod recover;
mod refit;
mod settle;
mod state;
mod whereabouts;

pub use follower::{Follower, SafeStop, Unfollowable};
pub use measured::{Measured, Scatter};
pub use recover::{Recovery, Remedy};
pub use settle::{Closed, Finish, Residual, Settled, Unsettled, settle};
pub use state::{Command, Event, FollowState, Part, StepState};
pub use whereabouts::{Deviation, Tube, Whereabouts};
