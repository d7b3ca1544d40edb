//! Sweeps: the motion of a rigid group, a rotation about a fixed axis or a translation.

use super::Path;
use crate::math::{DQuat, DVec3};

/// A rigid motion with uniform progress from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sweep {
    /// Right-handed rotation about the line through `point` along the unit vector `axis`.
    Turn {
        /// A point of the axis, in metres.
        point: DVec3,
        /// Direction of the axis, a unit vector.
        axis: DVec3,
        /// Angle of the whole motion, in radians; either sign.
        angle: f64,
    },
    /// Translation by `step`.
    Shift {
        /// Vector from start to end, in metres.
        step: DVec3,
    },
}

impl Sweep {
    /// The path of one point.
    #[must_use]
    pub fn path_of(&self, p: DVec3) -> Path {
        match *self {
            Self::Turn { point, axis, angle } => {
                let arm = p - point;
                let centre = point + axis * arm.dot(axis);
                let cosine = p - centre;
                Path::Arc { centre, cosine, sine: axis.cross(cosine), span: angle }
            }
            Self::Shift { step } => Path::Line { from: p, step },
        }
    }

    /// The position of a point at a fraction (0 to 1) of the motion.
    #[must_use]
    pub fn point_at(&self, p: DVec3, share: f64) -> DVec3 {
        let path = self.path_of(p);
        path.at(share * path.span())
    }

    /// The rotation at a fraction of the motion.
    #[must_use]
    pub fn rotation_at(&self, share: f64) -> DQuat {
        match *self {
            Self::Turn { axis, angle, .. } => DQuat::from_axis_angle(axis, angle * share),
            Self::Shift { .. } => DQuat::IDENTITY,
        }
    }

    /// Whether no point moves.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        match *self {
            Self::Turn { angle, .. } => angle == 0.0,
            Self::Shift { step } => step == DVec3::ZERO,
        }
    }
}
