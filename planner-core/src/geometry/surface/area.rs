//! Area of a region from its boundary, in closed form.

use super::{Arc, Carrier, Curve};
use crate::math::DVec3;
use std::f64::consts::{PI, TAU};

/// Area in m² of the free region that `arcs` bound on a carrier. A sphere without arcs is all free; a level plane needs a bounded region.
///
/// On a sphere, the area to the left of a closed boundary is, up to whole spheres, the sum of the areas swept by the great circle from a
/// fixed pole to the boundary; each arc sweeps a spherical triangle (van Oosterom & Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125) and
/// the segment between chord and arc. On a plane it is Green's formula. Exact but for rounding.
pub(super) fn area(carrier: &Carrier, arcs: &[Arc]) -> f64 {
    match *carrier {
        Carrier::Sphere { radius, .. } if arcs.is_empty() => 2.0 * TAU * radius * radius,
        Carrier::Sphere { centre, radius } => {
            let pole = DVec3::new(0.36, -0.48, 0.8);
            let swept: f64 = arcs.iter().map(|arc| swept(arc, centre, radius, pole)).sum();
            let steradians = swept.rem_euclid(2.0 * TAU);
            // A boundary encloses less than the sphere: what is left of a whole one is rounding below zero.
            let steradians = if steradians > 2.0 * TAU - 1e-9 { 0.0 } else { steradians };
            steradians * radius * radius
        }
        Carrier::Level { .. } => arcs.iter().map(green).sum(),
    }
}

fn swept(arc: &Arc, centre: DVec3, radius: f64, pole: DVec3) -> f64 {
    let Curve::Circle { centre: middle, axis, .. } = &arc.curve else { return 0.0 };
    // The side to the left of the curve is the one its axis points to.
    let cos = (*middle - centre).dot(*axis) / radius;
    let pieces = (arc.width / (PI / 3.0)).ceil().max(1.0) as usize;
    let step = arc.width / pieces as f64;
    (0..pieces)
        .map(|k| {
            let p = (arc.curve.at(arc.from + step * k as f64) - centre) / radius;
            let q = (arc.curve.at(arc.from + step * (k + 1) as f64) - centre) / radius;
            triangle(pole, p, q) + step * (1.0 - cos) - triangle(*axis, p, q)
        })
        .sum()
}

/// Signed area of a spherical triangle, positive counter-clockwise seen from outside.
fn triangle(a: DVec3, b: DVec3, c: DVec3) -> f64 {
    let volume = a.dot(b.cross(c));
    2.0 * volume.atan2(1.0 + a.dot(b) + b.dot(c) + c.dot(a))
}

/// `½ ∮ (x dy − y dx)` along one arc.
fn green(arc: &Arc) -> f64 {
    let (p, q) = (arc.at(0.0), arc.at(1.0));
    let chord = 0.5 * (p.x * q.y - p.y * q.x);
    match &arc.curve {
        Curve::Line { .. } => chord,
        Curve::Circle { axis, u, .. } => {
            let bulge = 0.5 * u.length_squared() * (arc.width - arc.width.sin());
            chord + bulge * axis.z.signum()
        }
    }
}
