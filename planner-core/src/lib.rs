//! WIP
pub mod geometry;
pub mod math;
pub mod model;
pub mod motion;
