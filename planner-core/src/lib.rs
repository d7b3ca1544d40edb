//! WIP
pub mod check;
pub mod geometry;
pub mod math;
pub mod model;
pub mod motion;
pub mod scene;
pub mod statics;
pub mod travel;
pub mod schedule;
pub mod search;
