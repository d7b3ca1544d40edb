//! The carrier: the surface that the point is on.

use crate::geometry::Slope;
use crate::math::{DVec3, perpendicular_part};

/// A sphere, or a plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Carrier {
    /// All points at `radius` from `centre`.
    Sphere {
        /// The centre, in metres.
        centre: DVec3,
        /// The radius, in metres.
        radius: f64,
    },
    /// All points of a plane, level or sloped.
    Plane(Slope),
}

impl Carrier {
    /// Unit normal at a point of the carrier: away from a sphere's centre, upwards on a plane.
    #[must_use]
    pub fn normal(&self, p: DVec3) -> DVec3 {
        match self {
            Self::Sphere { centre, radius } => (p - *centre) / *radius,
            Self::Plane(plane) => plane.normal,
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
            Self::Plane(_) => a.distance(b),
        }
    }

    /// A projection of `p` onto the carrier: radially from the centre, or along the plane's normal.
    #[must_use]
    pub fn project(&self, p: DVec3) -> DVec3 {
        match self {
            Self::Sphere { centre, radius } => {
                *centre + (p - *centre).try_normalize().unwrap_or(DVec3::Z) * *radius
            }
            Self::Plane(plane) => plane.onto(p),
        }
    }
}
