//! Replays a plan against the rules of the model page, from the scene alone.
//!
//! Shares with the planners only `math`, `geometry`, `model`, `statics` and `motion`: a wrong route or a wrong heuristic can make
//! a plan bad, never make a bad plan pass.

mod claims;
mod finding;
mod goal;
mod judge;
mod order;
mod replay;

pub use finding::{Figures, Finding};
pub use goal::goal_findings;
pub use replay::{CheckReport, StepFigures, check, check_and_fill_in, check_plan};
