//! A timed plan as data, without checks.

mod timed_plan;

pub use timed_plan::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};
