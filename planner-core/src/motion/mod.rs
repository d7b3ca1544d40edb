//! The moves, their effect on a configuration, and the rules that hold during them.

mod any_pace;
pub(crate) mod bond_needs;
mod clearance;
mod crossed;
mod fault;
mod figures;
mod kinematics;
mod planted;
mod primitive;
mod refused;
mod rest;
mod rule;
mod stretch;
mod stride_course;
pub(crate) mod striding;
pub(crate) mod structure;
pub(crate) mod structure_failures;
pub(crate) mod structure_utilisations;
mod utilisation_course;

pub use clearance::Gap;
pub(crate) use clearance::{rolling_reach_fault, stance_fault_over};
pub use fault::Fault;
pub use figures::{Attached, gap_between};
pub use kinematics::{MoveError, apply, duration_at_s, duration_s, energy_j, sweep_of, sweeps_of};
pub(crate) use kinematics::{Sweeps, carried, placed_after};
pub use planted::Planted;
pub use primitive::Move;
pub(crate) use refused::Refused;
pub(crate) use rest::{bond_fault, stance_fault_after};
pub use rest::{
    faults_at_rest, geometry_faults, is_sound_at_rest, load_at_rest, load_fault, load_with_payloads,
};
pub use rule::Rule;
pub(crate) use stretch::Missing;
pub use stretch::{Stretch, Underway};
pub use striding::{NotPlanted, StrideError};
pub use utilisation_course::WorstUtilisation;
