//! Vectors, rotations, tolerances and waves, independent of the domain.

mod angle;
mod elementary;
mod grid;
mod least_first;
mod linear;
mod matching;
mod memo;
mod mix;
mod near_points;
mod normal;
mod point_grid;
mod random;
mod steps;
mod trig;
mod wave;

pub mod tolerance;

pub use angle::{angle_between, are_aligned, heading_frame, perpendicular_part, turn_of, wrap_angle};
pub use elementary::{acos, asin, atan2, cos, erfc, exp, hypot, ln, log10, powf, sin, sin_cos, tan};
pub use glam::{DMat3, DQuat, DVec2, DVec3};
pub(crate) use grid::Grid;
pub use least_first::LeastFirst;
pub(crate) use linear::solve_linear;
pub(crate) use matching::can_match_all;
pub use memo::Memo;
pub use mix::mix;
pub(crate) use near_points::NearPoints;
pub use normal::{normal_below, normal_density, normal_number_below, normal_numbers};
pub(crate) use point_grid::PointGrid;
pub use random::SplitMix64;
pub use steps::{rounded, steps_of};
pub use trig::SecondWave;
pub use wave::Wave;
