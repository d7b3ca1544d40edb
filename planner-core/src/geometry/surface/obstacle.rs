//! Obstacles: sets that forbid a part of the carrier.

use crate::geometry::{Outline, Slope};
use crate::math::{DVec2, DVec3};
use std::sync::Arc;

/// A half-space: the points with `normal · p < offset`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Unit normal, pointing out of the half-space.
    pub normal: DVec3,
    /// Offset along the normal, in metres.
    pub offset: f64,
}

impl Plane {
    /// Signed distance of a point: negative inside the half-space.
    #[must_use]
    pub fn height(&self, p: DVec3) -> f64 {
        self.normal.dot(p) - self.offset
    }
}

/// An open set of forbidden points.
#[derive(Clone, Debug, PartialEq)]
pub enum Obstacle {
    /// The points nearer to `centre` than `radius`.
    Ball {
        /// The centre, in metres.
        centre: DVec3,
        /// The radius, in metres.
        radius: f64,
    },
    /// The points inside all of these half-spaces; one makes a cap of a sphere.
    Inside(Vec<Plane>),
    /// Seen along a plane's normal: the points nearer than `radius` to a counter-clockwise polygon, or inside it.
    NearPolygon {
        /// The plane.
        plane: Slope,
        /// Corners in the plane's coordinates, counter-clockwise.
        outline: Vec<DVec2>,
        /// Distance to keep, in metres; may be 0.
        radius: f64,
    },
    /// Seen along a plane's normal: the points outside an area, or nearer than `radius` to its boundary.
    OutsideArea {
        /// The plane.
        plane: Slope,
        /// The boundary of the area, in the plane's coordinates.
        outline: Arc<Outline>,
        /// Distance to keep from the boundary, in metres.
        radius: f64,
    },
}

impl Obstacle {
    /// Clearance of a point: positive where it is free, a distance in metres where one surface is near.
    #[must_use]
    pub fn clearance(&self, p: DVec3) -> f64 {
        match self {
            Self::Ball { centre, radius } => p.distance(*centre) - radius,
            Self::Inside(planes) => {
                planes.iter().map(|plane| plane.height(p)).fold(f64::NEG_INFINITY, f64::max)
            }
            Self::NearPolygon { plane, outline, radius } => {
                -crate::geometry::inset(outline, plane.coordinates(p)) - radius
            }
            Self::OutsideArea { plane, outline, radius } => outline.inset(plane.coordinates(p)) - radius,
        }
    }
}
