//! A timed plan as data, without checks.

mod timed_plan;
mod validate;

pub use timed_plan::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};
