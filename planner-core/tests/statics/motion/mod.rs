//! The layer `motion`.

mod any_pace;
mod dense_instants;
mod every_instant;
mod kinematics;
