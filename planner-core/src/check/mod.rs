//! Checks a plan by replaying it against the rules of the model, from the scene alone.
//!
//! Shares with the planners only `math`, `geometry`, `model`, `statics` and `motion`. So an error in routing or in a heuristic can produce a bad
//! plan, but cannot make a bad plan pass.

mod claims;
mod clearance;
mod crew;
mod finding;
mod further_tilt;
mod gaps;
mod goal;
mod judge;
mod margins;
mod near;
mod order;
mod recovery;
mod replay;
mod report;
mod stances;
mod step_figures;
mod structures;
mod timeline;

pub use finding::{Figures, Finding};
pub use further_tilt::FurtherTilt;
pub use goal::goal_findings;
pub use margins::{HeldByWeight, Margins, margins};

pub(crate) use report::check_and_complete;
pub use report::{CheckReport, StepFigures, check, check_and_fill_in, check_plan, check_rules};
pub(crate) use stances::Stances;
