//! Area of a region from its boundary, in closed form.

use super::{Arc, Carrier, Curve};
use crate::geometry::Slope;
use crate::math::{DVec2, DVec3, atan2, sin};
use std::f64::consts::TAU;

/// An area this close below that of the whole sphere is zero with rounding, in steradians.
const ROUNDING_SR: f64 = 1e-9;

/// Areas in m² of the parts of a free region that `arcs` bound on a carrier. `ends` are those of the arcs, `part_of` gives each arc's part. A sphere
/// without arcs is one part; a plane needs a bounded region.
///
/// On a sphere, the area to the left of a closed boundary is, up to whole spheres, the sum of the areas swept by the great circle from a fixed pole
/// to the boundary. Each arc sweeps a spherical triangle (van Oosterom & Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125) and the segment between
/// chord and arc. On a plane it is Green's formula. Exact but for rounding.
pub(super) fn areas(
    carrier: &Carrier,
    arcs: &[Arc],
    ends: &[(DVec3, DVec3)],
    part_of: &[usize],
    parts: usize,
) -> Vec<f64> {
    match *carrier {
        Carrier::Sphere { radius, .. } if arcs.is_empty() => vec![2.0 * TAU * radius * radius; parts],
        Carrier::Sphere { centre, radius } => {
            let mut swept = vec![Swept::default(); parts];
            for ((arc, ends), &part) in arcs.iter().zip(ends).zip(part_of) {
                swept[part].add(arc, *ends, centre, radius);
            }
            swept.into_iter().map(|swept| swept.steradians() * radius * radius).collect()
        }
        Carrier::Plane(plane) => {
            let mut areas = vec![0.0; parts];
            for (arc, &part) in arcs.iter().zip(part_of) {
                areas[part] += green(arc, &plane);
            }
            areas
        }
    }
}

/// A sum of areas on the unit sphere up to whole spheres. Half of a triangle's area is the argument of a complex number, so triangles are multiplied,
/// and one argument is taken at the end.
#[derive(Clone, Copy, Debug)]
struct Swept {
    sectors: f64,
    triangles: DVec2,
}

impl Default for Swept {
    fn default() -> Self {
        Self { sectors: 0.0, triangles: DVec2::X }
    }
}

/// Any point of the unit sphere.
const POLE: DVec3 = DVec3::new(0.36, -0.48, 0.8);

impl Swept {
    fn add(&mut self, arc: &Arc, (first, last): (DVec3, DVec3), centre: DVec3, radius: f64) {
        let Curve::Circle { centre: middle, axis, .. } = &arc.curve else { return };
        // The side to the left of the curve is the one its axis points to.
        let cos = (*middle - centre).dot(*axis) / radius;
        self.sectors += arc.width * (1.0 - cos);
        // The ends of a piece are never opposite.
        let pieces = (arc.width / (TAU / 3.0)).ceil().max(1.0) as usize;
        let mut p = (first - centre) / radius;
        for k in 1..=pieces {
            let q = if k == pieces { last } else { arc.at(k as f64 / pieces as f64) };
            let q = (q - centre) / radius;
            self.triangles = self.triangles.rotate(triangle(POLE, p, q));
            self.triangles = self.triangles.rotate(triangle(*axis, p, q) * DVec2::new(1.0, -1.0));
            p = q;
        }
        // Only the argument counts; the modulus must stay in the range of double precision.
        if !(1e-60..1e60).contains(&self.triangles.length_squared()) {
            self.triangles = self.triangles.normalize_or(DVec2::X);
        }
    }

    fn steradians(&self) -> f64 {
        let triangles = 2.0 * atan2(self.triangles.y, self.triangles.x);
        let steradians = (self.sectors + triangles).rem_euclid(2.0 * TAU);
        // A boundary encloses less than the sphere: a value close to a whole one is zero with rounding.
        if steradians > 2.0 * TAU - ROUNDING_SR { 0.0 } else { steradians }
    }
}

/// A complex number whose argument is half the signed area of a spherical triangle, positive when counter-clockwise seen from outside.
fn triangle(a: DVec3, b: DVec3, c: DVec3) -> DVec2 {
    DVec2::new(1.0 + a.dot(b) + b.dot(c) + c.dot(a), a.dot(b.cross(c)))
}

/// `½ ∮ (x dy − y dx)` along one arc.
fn green(arc: &Arc, plane: &Slope) -> f64 {
    let (p, q) = (plane.coordinates(arc.at(0.0)), plane.coordinates(arc.at(1.0)));
    let chord = 0.5 * (p.x * q.y - p.y * q.x);
    match &arc.curve {
        Curve::Line { .. } => chord,
        Curve::Circle { axis, u, .. } => {
            let bulge = 0.5 * u.length_squared() * (arc.width - sin(arc.width));
            chord + bulge * axis.dot(plane.normal).signum()
        }
    }
}
