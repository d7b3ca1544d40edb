//! The carrier: the surface that the point is on.

use crate::math::{DVec3, perpendicular_part};

/// A sphere, or a horizontal plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Carrier {
    /// All points at `radius` from `centre`.
    Sphere {
        /// The centre, in metres.
        centre: DVec3,
        /// The radius, in metres.
        radius: f64,
    },
    /// All points at one height.
    Level {
        /// The height, in metres.
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

    /// The tangential component of a direction at a point of the carrier.
    #[must_use]
    pub fn along(&self, p: DVec3, direction: DVec3) -> DVec3 {
        perpendicular_part(direction, self.normal(p))
    }

    /// Length of the shortest path between two points of the bare carrier.
    #[must_use]
    pub fn distance(&self, a: DVec3, b: DVec3) -> f64 {
        match self {
            Self::Sphere { centre, radius } => crate::math::angle_between(a - *centre, b - *centre) * radius,
            Self::Level { .. } => a.distance(b),
        }
    }

    /// A projection of `p` onto the carrier: radially from the centre, or vertically.
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
