//! Follows a plan on real modules: measured states come in, commands go out. No clock and no I/O: the caller says what happened.

mod measured;
mod settle;

pub use measured::{Measured, Scatter};
pub use settle::{Closed, Finish, Residual, Settled, Unsettled, settle};
