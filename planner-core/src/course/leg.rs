//! One uninterrupted motion of one module.

use crate::geometry::Sweep;
use crate::math::{DQuat, DVec3};
use crate::model::Placement;

/// A module in motion, by itself, carried, pivoting in a hop, or crossing an edge. Progress is uniform in time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Index of the step that moves it.
    pub step: usize,
    /// Beginning, in seconds.
    pub from_s: f64,
    /// End, in seconds.
    pub to_s: f64,
    /// Placement of the module at the beginning.
    pub start: Placement,
    /// The whole motion, in the world frame.
    pub sweep: Sweep,
    /// In a cross: the turn of the body about its own centre, a unit axis and an angle in radians.
    pub tilt: Option<(DVec3, f64)>,
}

impl Leg {
    /// Centre and orientation at an instant; constant before the beginning and after the end.
    #[must_use]
    pub fn pose(&self, at_s: f64) -> (DVec3, DQuat) {
        let share = ((at_s - self.from_s) / (self.to_s - self.from_s)).clamp(0.0, 1.0);
        let turn = match self.tilt {
            Some((axis, angle)) => DQuat::from_axis_angle(axis, angle * share),
            None => self.sweep.rotation_at(share),
        };
        (self.sweep.point_at(self.start.position, share), (turn * self.start.orientation).normalize())
    }
}
