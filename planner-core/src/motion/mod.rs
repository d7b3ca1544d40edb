//! The five moves, what they do to a configuration, and what holds during them.

mod any_pace;
mod clearance;
mod fault;
mod figures;
mod kinematics;
mod plan;
mod primitive;
mod refused;
mod rest;
mod strain_course;
mod stretch;

pub use clearance::Gap;
pub use fault::Fault;
pub use figures::{Attached, gap_between};
pub(crate) use kinematics::placed_after;
pub use kinematics::{MoveError, apply, duration_s, energy_j, sweep_of};
pub use plan::{Plan, PlannerNote, Status, Step, Summary};
pub use primitive::Move;
pub(crate) use refused::Refused;
pub use rest::{
    faults_at_rest, geometry_faults, is_sound_at_rest, load_at_rest, load_fault, load_with_payloads,
};
pub use strain_course::WorstStrain;
pub use stretch::{Stretch, Underway};
