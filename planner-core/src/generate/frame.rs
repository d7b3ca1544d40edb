//! Where a scene lies in the world.

use crate::math::{DQuat, DVec3};

/// A turn about the vertical and a shift: from the coordinates in which a scene is drawn to those of the world.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    turn: DQuat,
    shift: DVec3,
}

impl Frame {
    /// The world itself.
    pub(super) const WORLD: Self = Self { turn: DQuat::IDENTITY, shift: DVec3::ZERO };

    /// Turned by this angle in radians, then shifted by this many metres.
    pub(super) fn new(turn_rad: f64, shift: DVec3) -> Self {
        Self { turn: DQuat::from_rotation_z(turn_rad), shift }
    }

    /// A point in the world.
    pub(super) fn at(&self, point: DVec3) -> DVec3 {
        self.turn * point + self.shift
    }

    /// A direction in the world.
    pub(super) fn way(&self, direction: DVec3) -> DVec3 {
        self.turn * direction
    }

    /// A point on the ground in the world, from its `[x, y]`.
    pub(super) fn spot(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        self.at(DVec3::new(x, y, 0.0)).truncate().to_array()
    }

    /// A point of the world in the coordinates of the scene.
    pub(super) fn back(&self, point: DVec3) -> DVec3 {
        self.turn.inverse() * (point - self.shift)
    }
}
