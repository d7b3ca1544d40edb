//! A timed plan as data. It judges nothing.

mod timed_plan;

pub use timed_plan::{Plan, PlannerNote, Status, Step, Summary};
