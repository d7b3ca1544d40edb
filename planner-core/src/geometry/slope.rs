//! A plane that is nowhere vertical, level or sloped, with a frame of its own.

use crate::math::{DVec2, DVec3, hypot};

/// A plane and a frame in it: coordinates in it are lengths, in metres. On a level plane they are the world's `x` and `y`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// The point with the coordinates 0, 0: where the world's z axis meets the plane, or straight beside that along the normal.
    pub origin: DVec3,
    /// Unit direction of the first coordinate: level, with the rise on its left.
    pub u: DVec3,
    /// Unit direction of the second coordinate: the steepest way up.
    pub v: DVec3,
    /// Upward unit normal.
    pub normal: DVec3,
}

impl Slope {
    /// A level plane.
    #[must_use]
    pub const fn level(height_m: f64) -> Self {
        Self { origin: DVec3::new(0.0, 0.0, height_m), u: DVec3::X, v: DVec3::Y, normal: DVec3::Z }
    }

    /// The plane `z = height + gradient · (x, y)`; `height_m` is that at the world's origin.
    #[must_use]
    pub fn rising(height_m: f64, gradient: DVec2) -> Self {
        let steepness = gradient.length();
        if steepness == 0.0 {
            return Self::level(height_m);
        }
        let up = gradient / steepness;
        let slant = hypot(steepness, 1.0);
        let (run, rise) = (1.0 / slant, steepness / slant);
        let normal = DVec3::new(-up.x * rise, -up.y * rise, run);
        let v = (up * run).extend(rise);
        Self { origin: DVec3::Z * height_m, u: v.cross(normal), v, normal }
    }

    /// The plane through three points, which are not in line seen from above.
    #[must_use]
    pub fn through(a: DVec3, b: DVec3, c: DVec3) -> Option<Self> {
        let (ab, ac) = (b - a, c - a);
        let area = ab.truncate().perp_dot(ac.truncate());
        let gradient = DVec2::new(ab.z * ac.y - ac.z * ab.y, ac.z * ab.x - ab.z * ac.x) / area;
        let height = a.z - gradient.dot(a.truncate());
        (height.is_finite() && gradient.is_finite()).then(|| Self::rising(height, gradient))
    }

    /// Whether it is level.
    #[must_use]
    pub fn is_level(&self) -> bool {
        self.normal == DVec3::Z
    }

    /// Rise for each metre towards +x and +y.
    #[must_use]
    pub fn gradient(&self) -> DVec2 {
        if self.is_level() { DVec2::ZERO } else { -self.normal.truncate() / self.normal.z }
    }

    /// Height of the plane above or below a point seen from above, in metres.
    #[must_use]
    pub fn height_at(&self, at: DVec2) -> f64 {
        let from = at - self.origin.truncate();
        if self.is_level() {
            self.origin.z
        } else {
            self.origin.z - self.normal.truncate().dot(from) / self.normal.z
        }
    }

    /// The point of the plane straight above or below a point seen from above.
    #[must_use]
    pub fn under(&self, at: DVec2) -> DVec3 {
        at.extend(self.height_at(at))
    }

    /// Signed distance of a point from the plane in metres, positive above.
    #[must_use]
    pub fn above(&self, p: DVec3) -> f64 {
        if self.is_level() { p.z - self.origin.z } else { (p - self.origin).dot(self.normal) }
    }

    /// Coordinates of a point's foot on the plane.
    #[must_use]
    pub fn coordinates(&self, p: DVec3) -> DVec2 {
        if self.is_level() {
            return p.truncate();
        }
        let arm = p - self.origin;
        DVec2::new(arm.dot(self.u), arm.dot(self.v))
    }

    /// The point with these coordinates.
    #[must_use]
    pub fn point(&self, at: DVec2) -> DVec3 {
        if self.is_level() { at.extend(self.origin.z) } else { self.origin + self.vector(at) }
    }

    /// The direction with these components.
    #[must_use]
    pub fn vector(&self, direction: DVec2) -> DVec3 {
        if self.is_level() { direction.extend(0.0) } else { self.u * direction.x + self.v * direction.y }
    }

    /// The point's foot on the plane.
    #[must_use]
    pub fn onto(&self, p: DVec3) -> DVec3 {
        self.point(self.coordinates(p))
    }

    /// The plane parallel to it at a distance along the normal, with the same coordinates.
    #[must_use]
    pub fn raised(&self, by_m: f64) -> Self {
        let origin = if self.is_level() {
            DVec3::new(0.0, 0.0, self.origin.z + by_m)
        } else {
            self.origin + self.normal * by_m
        };
        Self { origin, ..*self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::SplitMix64;

    /// A plane through three points holds them; its frame is orthonormal, and coordinates keep distances.
    #[test]
    fn a_plane_holds_its_points_and_measures_lengths() {
        let mut random = SplitMix64::new(11);
        for _ in 0..1000 {
            let mut point = || DVec3::from_array([0; 3].map(|_| random.between(-1.0, 1.0)));
            let (a, b, c, far) = (point(), point(), point(), point());
            let Some(plane) = Slope::through(a, b, c) else { continue };
            let scale = 1.0 + plane.gradient().length();
            for p in [a, b, c] {
                assert!(plane.above(p).abs() < 1e-9 * scale, "{plane:?}");
                assert!((plane.height_at(p.truncate()) - p.z).abs() < 1e-9 * scale * scale);
                assert!(plane.point(plane.coordinates(p)).distance(p) < 1e-9 * scale);
            }
            assert!(
                (plane.coordinates(a).distance(plane.coordinates(b)) - a.distance(b)).abs() < 1e-9 * scale
            );
            assert!((plane.u.cross(plane.v) - plane.normal).length() < 1e-12);
            let raised = plane.raised(0.25);
            assert!((raised.above(far) - plane.above(far) + 0.25).abs() < 1e-12 * scale);
            assert!(raised.coordinates(far).distance(plane.coordinates(far)) < 1e-12 * scale);
        }
    }
}
