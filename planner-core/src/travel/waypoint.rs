//! A place on a trip, and the path that leads there.

use crate::geometry::Sweep;
use crate::math::{DVec3, angle_between, atan2, turn_of};
use crate::model::Body;

/// An angle this close below a whole turn is zero with rounding.
const NO_TURN_RAD: f64 = 1e-9;
/// Points of a sphere are opposite if their sum is shorter than the radius times the square root of this: rounding would decide which path is the
/// shortest.
const OPPOSITE_SQUARED: f64 = 1e-12;

/// A circular path: right-handed about an axis, by less than a turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Round {
    /// A point of the axis: the host's centre on a shell, the centre of the circle on a deck.
    pub centre: DVec3,
    /// Unit direction of the axis.
    pub axis: DVec3,
}

impl Round {
    /// The angle from one point of the circle to another, in `[0, 2π)`; rounding below zero counts as zero.
    #[must_use]
    pub fn angle(&self, from: DVec3, to: DVec3) -> f64 {
        let (a, b) = (from - self.centre, to - self.centre);
        let (a, b) = (a - self.axis * a.dot(self.axis), b - self.axis * b.dot(self.axis));
        let angle = turn_of(atan2(self.axis.dot(a.cross(b)), a.dot(b)));
        if angle > std::f64::consts::TAU - NO_TURN_RAD { 0.0 } else { angle }
    }

    /// The same circle in the opposite direction.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self { centre: self.centre, axis: -self.axis }
    }
}

/// A place on a trip: its host, the module's centre, and the path from the place before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Waypoint {
    /// The host of the foot.
    pub host: Body,
    /// The shell's centre in the world frame, in metres.
    pub position: DVec3,
    /// The circular path that leads there; `None` for a great circle, a straight line or a hop.
    pub round: Option<Round>,
}

impl Waypoint {
    /// A place reached by a straight path.
    #[must_use]
    pub const fn straight(host: Body, position: DVec3) -> Self {
        Self { host, position, round: None }
    }

    /// The motion of the centre from `from` to here on one host; `None` where no path is the shortest (opposite points) or the two places are equal.
    /// `centre` is the host's, for shells.
    #[must_use]
    pub fn sweep_from(&self, from: DVec3, centre: Option<DVec3>) -> Option<Sweep> {
        match (self.round, centre) {
            (Some(round), _) => Some(Sweep::Turn {
                point: round.centre,
                axis: round.axis,
                angle: round.angle(from, self.position),
            }),
            (None, None) => Some(Sweep::Shift { step: self.position - from }),
            (None, Some(centre)) => {
                let (a, b) = (from - centre, self.position - centre);
                if are_opposite(a, b) {
                    return None;
                }
                let axis = a.cross(b).try_normalize()?;
                Some(Sweep::Turn { point: centre, axis, angle: angle_between(a, b) })
            }
        }
    }
}

/// Whether two points of a sphere, given from its centre, are so nearly opposite that rounding would decide which path is the shortest.
pub(super) fn are_opposite(a: DVec3, b: DVec3) -> bool {
    (a + b).length_squared() < OPPOSITE_SQUARED * a.length_squared()
}
