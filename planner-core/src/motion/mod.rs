//! The five moves, what they do to a configuration, and what holds during them.

mod plan;
mod primitive;

pub use plan::{Plan, PlannerNote, Status, Step, Summary};
pub use primitive::Move;
