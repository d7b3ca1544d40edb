//! The front door.

mod portfolio;
mod rearranging;
mod trip_goals;

pub use portfolio::Portfolio;
pub use rearranging::{Rearranged, rearrange};
