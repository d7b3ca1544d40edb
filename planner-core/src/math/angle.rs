//! Angles and directions.

use super::elementary::atan2;
use super::{DMat3, DQuat, DVec3, tolerance};

/// Angle between two vectors, in radians, in `[0, π]`.
///
/// Uses `atan2(|a×b|, a·b)`: the arc cosine loses half the digits near 0 and π.
#[must_use]
pub fn angle_between(a: DVec3, b: DVec3) -> f64 {
    atan2(a.cross(b).length(), a.dot(b))
}

/// Whether the angle between two vectors is at most `limit`, a small angle in radians.
#[must_use]
pub fn are_aligned(a: DVec3, b: DVec3, limit: f64) -> bool {
    let cos = a.dot(b);
    cos > 0.0 && a.cross(b).length_squared() <= (limit * cos).powi(2)
}

/// The component of `v` perpendicular to the unit vector `n`, not normalised.
#[must_use]
pub fn perpendicular_part(v: DVec3, n: DVec3) -> DVec3 {
    v - n * v.dot(n)
}

/// An angle reduced to `[0, 2π)`; a negative angle that is too small for this becomes 2π.
#[must_use]
pub fn turn_of(angle: f64) -> f64 {
    use std::f64::consts::TAU;
    // Nearly all are less than a turn outside the range, and a division is slow.
    if (0.0..TAU).contains(&angle) {
        angle
    } else if angle < 0.0 && angle > -TAU {
        angle + TAU
    } else {
        angle.rem_euclid(TAU)
    }
}

/// An angle reduced to `(-π, π]`.
#[must_use]
pub fn wrap_angle(angle: f64) -> f64 {
    let wrapped = turn_of(angle);
    if wrapped > std::f64::consts::PI { wrapped - std::f64::consts::TAU } else { wrapped }
}

/// The orientation (body to world) whose z is the unit vector `up` and whose x is the normalised perpendicular part of `heading`; `None` where that
/// is zero.
#[must_use]
pub fn heading_frame(up: DVec3, heading: DVec3) -> Option<DQuat> {
    let forward = perpendicular_part(heading, up);
    if forward.length() <= tolerance::NOTHING * heading.length() {
        return None;
    }
    let x = perpendicular_part(forward.normalize(), up).normalize();
    Some(DQuat::from_mat3(&DMat3::from_cols(x, up.cross(x), up)).normalize())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::SplitMix64;
    use std::f64::consts::TAU;

    /// The fast forms without divisions and arc tangents give the same results.
    #[test]
    fn quick_angles_are_the_slow_ones() {
        let mut random = SplitMix64::new(3);
        for angle in (0..10_000).map(|_| random.between(-3.0 * TAU, 3.0 * TAU)).chain([0.0, -0.0, TAU, -TAU])
        {
            assert_eq!(turn_of(angle).to_bits(), angle.rem_euclid(TAU).to_bits(), "{angle:e}");
        }
        assert_eq!(turn_of(-1e-20), (-1e-20_f64).rem_euclid(TAU));
        for _ in 0..10_000 {
            let mut vector = || DVec3::from_array([0; 3].map(|_| random.between(-1.0, 1.0)));
            let (a, across) = (vector(), vector());
            let limit = 1e-6;
            let off = random.between(0.0, 3.0 * limit);
            let b = (a + perpendicular_part(across, a.normalize()).normalize() * (off * a.length()))
                * random.between(0.1, 3.0);
            if (off - limit).abs() > 1e-9 {
                assert_eq!(are_aligned(a, b, limit), angle_between(a, b) <= limit, "{off:e}");
                assert!(!are_aligned(a, -b, limit));
            }
        }
    }
}
