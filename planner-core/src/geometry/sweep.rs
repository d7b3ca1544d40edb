//! Sweeps: the motion of a rigid group, a rotation about a fixed axis or a translation, and that of a machine on rolling balls.

use super::Path;
use crate::math::{DQuat, DVec3};

/// A motion with uniform progress from 0 to 1.
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
    /// A ball that rolls on a plane: its centre goes by `step` while it turns about itself. The points that it moves are centres of balls.
    Roll {
        /// Vector from start to end, in metres.
        step: DVec3,
        /// Direction of the axis, a unit vector.
        axis: DVec3,
        /// Angle of the whole motion, in radians.
        angle: f64,
    },
    /// What stands on balls that roll: by `step`, and round their centres on the arm, without turning.
    Ride {
        /// Vector from start to end of the rolling centres, in metres.
        step: DVec3,
        /// Vector from a rolling centre to what rides there at the start, square to the axis, in metres.
        arm: DVec3,
        /// Direction of the axis, a unit vector.
        axis: DVec3,
        /// Angle of the whole motion, in radians.
        angle: f64,
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
            Self::Shift { step } | Self::Roll { step, .. } => Path::Line { from: p, step },
            Self::Ride { step, angle: 0.0, .. } => Path::Line { from: p, step },
            Self::Ride { step, arm, axis, angle } => {
                Path::Trochoid { centre: p - arm, cosine: arm, sine: axis.cross(arm), span: angle, step }
            }
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
            Self::Turn { axis, angle, .. } | Self::Roll { axis, angle, .. } => {
                DQuat::from_axis_angle(axis, angle * share)
            }
            Self::Shift { .. } | Self::Ride { .. } => DQuat::IDENTITY,
        }
    }

    /// Whether no point moves.
    #[must_use]
    pub fn is_nothing(&self) -> bool {
        match *self {
            Self::Turn { angle, .. } | Self::Roll { angle, .. } | Self::Ride { angle, .. } => angle == 0.0,
            Self::Shift { step } => step == DVec3::ZERO,
        }
    }

    /// The part of it between two fractions.
    #[must_use]
    pub fn part(self, from: f64, to: f64) -> Self {
        let share = to - from;
        match self {
            Self::Turn { point, axis, angle } => Self::Turn { point, axis, angle: angle * share },
            Self::Shift { step } => Self::Shift { step: step * share },
            Self::Roll { step, axis, angle } => Self::Roll { step: step * share, axis, angle: angle * share },
            Self::Ride { step, arm, axis, angle } => {
                let arm = DQuat::from_axis_angle(axis, angle * from) * arm;
                Self::Ride { step: step * share, arm, axis, angle: angle * share }
            }
        }
    }
}
