//! Planes over the x-y plane, and their least-squares fits.

use glam::{DVec2, DVec3};

/// The plane `z = height + slope · (x, y)`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Plane {
    /// The height above the origin, in metres.
    pub height: f64,
    /// The rise per metre along x and y.
    pub slope: DVec2,
}

impl Plane {
    /// A level plane.
    #[must_use]
    pub const fn level(height: f64) -> Self {
        Self { height, slope: DVec2::ZERO }
    }

    /// The height of the plane at a place.
    #[must_use]
    pub fn at(&self, place: DVec2) -> f64 {
        self.height + self.slope.dot(place)
    }

    /// Signed distance from the plane, in metres, positive above.
    #[must_use]
    pub fn distance(&self, p: DVec3) -> f64 {
        (p.z - self.at(p.truncate())) * self.cosine()
    }

    /// The upward unit normal.
    #[must_use]
    pub fn normal(&self) -> DVec3 {
        DVec3::new(-self.slope.x, -self.slope.y, 1.0) * self.cosine()
    }

    /// The angle between the plane and the level, in degrees.
    #[must_use]
    pub fn tilt_deg(&self) -> f64 {
        self.slope.length().atan().to_degrees()
    }

    /// Of the angle between the plane and the level.
    pub(crate) fn cosine(&self) -> f64 {
        1.0 / (1.0 + self.slope.length_squared()).sqrt()
    }
}

/// Weighted sums of points, from which the plane of least squares of the heights follows. Sums can be added up.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Moments {
    weight: f64,
    first: DVec3,
    /// xx, xy, yy, xz, yz.
    second: [f64; 5],
}

impl Moments {
    pub(crate) fn add(&mut self, p: DVec3, weight: f64) {
        self.weight += weight;
        self.first += p * weight;
        let products = [p.x * p.x, p.x * p.y, p.y * p.y, p.x * p.z, p.y * p.z];
        for (sum, product) in self.second.iter_mut().zip(products) {
            *sum += product * weight;
        }
    }

    pub(crate) fn join(&mut self, other: &Self) {
        self.weight += other.weight;
        self.first += other.first;
        for (sum, more) in self.second.iter_mut().zip(other.second) {
            *sum += more;
        }
    }

    pub(crate) fn mean_height(&self) -> f64 {
        self.first.z / self.weight
    }

    /// The plane with the least sum of squared height differences; level where the points lie on a line seen from above.
    pub(crate) fn plane(&self) -> Plane {
        let mean = self.first / self.weight;
        let central = |sum: f64, a: f64, b: f64| sum / self.weight - a * b;
        let xx = central(self.second[0], mean.x, mean.x);
        let xy = central(self.second[1], mean.x, mean.y);
        let yy = central(self.second[2], mean.y, mean.y);
        let xz = central(self.second[3], mean.x, mean.z);
        let yz = central(self.second[4], mean.y, mean.z);
        let determinant = xx * yy - xy * xy;
        let spread = xx + yy;
        // Below this the points are as good as on a line, and rounding would decide the slope.
        if determinant <= 1e-9 * spread * spread {
            return Plane::level(mean.z);
        }
        let slope = DVec2::new(xz * yy - yz * xy, yz * xx - xz * xy) / determinant;
        Plane { height: mean.z - slope.dot(mean.truncate()), slope }
    }
}

#[cfg(test)]
mod tests {
    use super::{Moments, Plane};
    use glam::{DVec2, DVec3};

    /// Four corners of a unit square with heights 0, 0, 1 and 3.
    #[test]
    fn least_squares_as_worked_by_hand() {
        let mut moments = Moments::default();
        for (x, y, z) in [(0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 1.0), (1.0, 1.0, 3.0)] {
            moments.add(DVec3::new(x, y, z), 1.0);
        }
        // On a square the slopes are differences of side means: x: (0+3)/2 - (0+1)/2 = 1, y: (1+3)/2 - 0 = 2; the mean height is 1.
        let plane = moments.plane();
        assert!((plane.slope - DVec2::new(1.0, 2.0)).length() < 1e-12);
        assert!((plane.at(DVec2::new(0.5, 0.5)) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn distance_is_taken_square_to_the_plane() {
        let plane = Plane { height: 0.0, slope: DVec2::new(1.0, 0.0) };
        assert!((plane.distance(DVec3::new(0.0, 5.0, 1.0)) - 0.5_f64.sqrt()).abs() < 1e-15);
        assert!((plane.tilt_deg() - 45.0).abs() < 1e-12);
    }
}
