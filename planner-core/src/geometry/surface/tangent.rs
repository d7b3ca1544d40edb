//! Great circles and straight lines that touch circles of the carrier.

use super::{Carrier, Curve};
use crate::geometry::Slope;
use crate::math::{DVec3, cos, sin, sin_cos, tan};

/// Nearer to a ring than this, as a cosine, the angle itself is compared.
const NEAR_COS: f64 = 1e-9;
/// Two poles are equal, or opposite, if the squared sine of the angle between them is below this.
const SAME_POLE: f64 = 1e-18;
/// Centres nearer than this are equal, in metres.
const CONCENTRIC_M: f64 = 1e-12;

/// A circle on a carrier, with the forbidden side inside it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// On a sphere the unit direction of its pole from the sphere's centre; on a plane its centre, in metres.
    pub pole: DVec3,
    /// On a sphere its angular radius in radians, below a quarter turn; on a plane its radius in metres.
    pub radius: f64,
}

impl Carrier {
    /// Whether a point is on a ring or inside it.
    #[must_use]
    pub fn is_within(&self, ring: &Ring, p: DVec3) -> bool {
        match self {
            Self::Sphere { centre, .. } => {
                let arm = p - *centre;
                // Only near the ring is the angle itself needed.
                let above = arm.dot(ring.pole) / arm.length() - cos(ring.radius);
                if above.abs() > NEAR_COS {
                    above > 0.0
                } else {
                    crate::math::angle_between(ring.pole, arm) <= ring.radius
                }
            }
            Self::Plane(plane) => in_plane(plane, p - ring.pole).length() <= ring.radius,
        }
    }

    /// The two points at which shortest paths from `p` touch a ring; `None` from inside it.
    #[must_use]
    pub fn tangents(&self, p: DVec3, ring: &Ring) -> Option<[DVec3; 2]> {
        // The angle at the pole of the right triangle pole, tangent point, p (Napier's rules on a sphere).
        let (cos, along) = match self {
            Self::Sphere { centre, .. } => {
                let arm = p - *centre;
                let along = crate::math::perpendicular_part(arm, ring.pole);
                let cos = tan(ring.radius) * arm.dot(ring.pole) / along.length();
                (cos, along)
            }
            Self::Plane(plane) => {
                let along = in_plane(plane, p - ring.pole);
                (ring.radius / along.length(), along)
            }
        };
        // Inside the ring it is 1 or more; NaN at its pole.
        if cos.is_nan() || cos.abs() >= 1.0 {
            return None;
        }
        let first = along.try_normalize()?;
        let second = self.pole_axis(ring).cross(first);
        let sin = (1.0 - cos * cos).sqrt();
        Some([sin, -sin].map(|sin| self.on_ring(ring, first * cos + second * sin)))
    }

    /// The ring as a curve, counter-clockwise about its pole.
    #[must_use]
    pub fn rim(&self, ring: &Ring) -> Curve {
        match self {
            Self::Sphere { centre, radius } => {
                let (sin, cos) = sin_cos(ring.radius);
                Curve::circle(*centre + ring.pole * (radius * cos), ring.pole, radius * sin)
            }
            Self::Plane(plane) => Curve::circle_on(plane, plane.onto(ring.pole), ring.radius),
        }
    }

    /// The point of a ring nearest to `p`; `None` at the pole.
    #[must_use]
    pub fn onto_ring(&self, p: DVec3, ring: &Ring) -> Option<DVec3> {
        let outwards = match self {
            Self::Sphere { centre, .. } => crate::math::perpendicular_part(p - *centre, ring.pole),
            Self::Plane(plane) => in_plane(plane, p - ring.pole),
        };
        outwards.try_normalize().map(|direction| self.on_ring(ring, direction))
    }

    /// Pairs of points, one on each ring, at which one shortest path touches both.
    #[must_use]
    pub fn bitangents(&self, a: &Ring, b: &Ring) -> Vec<(DVec3, DVec3)> {
        match self {
            Self::Sphere { centre, radius } => sphere_bitangents(a, b)
                .into_iter()
                .map(|(p, q)| (*centre + p * *radius, *centre + q * *radius))
                .collect(),
            Self::Plane(plane) => plane_bitangents(a, b, plane),
        }
    }

    /// The point of a ring in a direction (square to its axis, unit) from its pole.
    fn on_ring(&self, ring: &Ring, direction: DVec3) -> DVec3 {
        match self {
            Self::Sphere { centre, radius } => {
                let (sin, cos) = sin_cos(ring.radius);
                *centre + (ring.pole * cos + direction * sin) * *radius
            }
            Self::Plane(plane) => plane.onto(ring.pole + direction * ring.radius),
        }
    }

    const fn pole_axis(&self, ring: &Ring) -> DVec3 {
        match self {
            Self::Sphere { .. } => ring.pole,
            Self::Plane(plane) => plane.normal,
        }
    }
}

/// A great circle with pole `w` touches a cap of angular radius `ρ` around `a` when `w·a = ± sin ρ`.
fn sphere_bitangents(a: &Ring, b: &Ring) -> Vec<(DVec3, DVec3)> {
    let cos = a.pole.dot(b.pole);
    let determinant = 1.0 - cos * cos;
    if determinant < SAME_POLE {
        return Vec::new();
    }
    let across = a.pole.cross(b.pole);
    let mut found = Vec::with_capacity(4);
    for sign in [1.0, -1.0] {
        let (s, t) = (sin(a.radius), sign * sin(b.radius));
        let (x, y) = ((s - t * cos) / determinant, (t - s * cos) / determinant);
        let level = a.pole * x + b.pole * y;
        let rest = (1.0 - level.length_squared()) / determinant;
        if rest < 0.0 {
            continue;
        }
        for side in [1.0, -1.0] {
            let w = level + across * (side * rest.sqrt());
            let foot = |pole: DVec3| (pole - w * w.dot(pole)).try_normalize();
            found.extend(foot(a.pole).zip(foot(b.pole)));
        }
    }
    found
}

/// The component of a direction along a plane.
fn in_plane(plane: &Slope, direction: DVec3) -> DVec3 {
    if plane.is_level() {
        direction.with_z(0.0)
    } else {
        crate::math::perpendicular_part(direction, plane.normal)
    }
}

fn plane_bitangents(a: &Ring, b: &Ring, plane: &Slope) -> Vec<(DVec3, DVec3)> {
    let apart = in_plane(plane, b.pole - a.pole);
    let length = apart.length();
    if length < CONCENTRIC_M {
        return Vec::new();
    }
    let first = apart / length;
    let second = plane.normal.cross(first);
    let mut found = Vec::with_capacity(4);
    for sign in [1.0, -1.0] {
        // Normals n of the tangent: n·apart = r_a − sign·r_b.
        let cos = (a.radius - sign * b.radius) / length;
        if cos.abs() > 1.0 {
            continue;
        }
        let sin = (1.0 - cos * cos).sqrt();
        for side in [1.0, -1.0] {
            let normal = first * cos + second * (side * sin);
            let p = plane.onto(a.pole + normal * a.radius);
            let q = plane.onto(b.pole + normal * (sign * b.radius));
            found.push((p, q));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::{SplitMix64, angle_between};

    /// Near its rim or far from it, a point of a sphere is inside a ring exactly when its angle from the pole is at most the radius.
    #[test]
    fn within_a_ring_is_by_the_angle_from_its_pole() {
        let mut random = SplitMix64::new(5);
        let centre = DVec3::new(0.3, -0.2, 0.5);
        let carrier = Carrier::Sphere { centre, radius: 0.12 };
        for case in 0..10_000 {
            let mut direction = || DVec3::from_array([0; 3].map(|_| random.between(-1.0, 1.0))).normalize();
            let (pole, beside) = (direction(), direction());
            let ring = Ring { pole, radius: random.between(0.01, 1.5) };
            let apart = match case % 3 {
                0 => random.between(0.0, std::f64::consts::PI),
                1 => ring.radius + random.between(-1e-8, 1e-8),
                _ => ring.radius + random.between(-1e-12, 1e-12),
            };
            let across = crate::math::perpendicular_part(beside, pole).normalize();
            let place = centre + (pole * cos(apart) + across * sin(apart)) * 0.12;
            assert_eq!(carrier.is_within(&ring, place), angle_between(pole, place - centre) <= ring.radius);
        }
    }
}
