//! The layer `motion`.

mod among_stones;
mod any_pace;
mod crosses;
mod dense_instants;
mod durations;
mod every_instant;
mod kinematics;
mod large_structures;
mod lost_parts;
mod strides;
