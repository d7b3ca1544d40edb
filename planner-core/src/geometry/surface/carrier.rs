//! What the point is on.

use crate::math::{DVec3, perpendicular_part};

/// A sphere, or a level plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Carrier {
    /// All points at `radius` from `centre`.
    Sphere {
        /// The centre.
        centre: DVec3,
        /// The radius.
        radius: f64,
    },
    /// All points at one height.
    Level {
        /// The height.
        height: f64,
    },
}

impl Carrier {
    /// Unit normal at a point of the carrier: away from a sphere's centre, up on a plane.
    #[must_use]
    pub fn normal(&self, p: DVec3) -> DVec3 {
        match self {
            Self::Sphere { centre, radius } => (p - *centre) / *radius,
            Self::Level { .. } => DVec3::Z,
        }
    }

    /// The part of a direction that is along the carrier at a point.
    #[must_use]
    pub fn along(&self, p: DVec3, direction: DVec3) -> DVec3 {
        perpendicular_part(direction, self.normal(p))
    }

    /// Length of the shortest way between two points of the bare carrier.
    #[must_use]
    pub fn distance(&self, a: DVec3, b: DVec3) -> f64 {
        match self {
            Self::Sphere { centre, radius } => crate::math::angle_between(a - *centre, b - *centre) * radius,
            Self::Level { .. } => a.distance(b),
        }
    }

    /// The point of the carrier nearest to `p`, roughly: straight out from the centre, or straight up or down.
    #[must_use]
    pub fn project(&self, p: DVec3) -> DVec3 {
        match self {
            Self::Sphere { centre, radius } => {
                *centre + (p - *centre).try_normalize().unwrap_or(DVec3::Z) * *radius
            }
            Self::Level { height } => DVec3::new(p.x, p.y, *height),
        }
    }
}
