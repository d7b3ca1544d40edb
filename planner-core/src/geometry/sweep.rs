//! How a rigid group moves: about a fixed axis, or straight on.

use super::Path;
use crate::math::{DQuat, DVec3};

/// A rigid motion with uniform progress.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sweep {
    /// Right-handed rotation about the line through `point` along the unit vector `axis`.
    Turn {
        /// A point of the axis.
        point: DVec3,
        /// Direction of the axis.
        axis: DVec3,
        /// Angle of the whole motion, in radians; either sign.
        angle: f64,
    },
    /// Translation by `step`.
    Shift {
        /// From start to end.
        step: DVec3,
    },
}

impl Sweep {
    /// The way one point goes.
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

    /// Where a point is after a share (0 to 1) of the motion.
    #[must_use]
    pub fn point_at(&self, p: DVec3, share: f64) -> DVec3 {
        let path = self.path_of(p);
        path.at(share * path.span())
    }

    /// The rotation done after a share of the motion.
    #[must_use]
    pub fn rotation_at(&self, share: f64) -> DQuat {
        match *self {
            Self::Turn { axis, angle, .. } => DQuat::from_axis_angle(axis, angle * share),
            Self::Shift { .. } => DQuat::IDENTITY,
        }
    }

    /// Whether nothing changes its place.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        match *self {
            Self::Turn { angle, .. } => angle == 0.0,
            Self::Shift { step } => step == DVec3::ZERO,
        }
    }
}
