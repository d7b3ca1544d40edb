//! Balls fitted to points of their upper halves.

use crate::plane::Moments;
use glam::{DMat4, DVec3, DVec4};

/// Gauss-Newton steps; it converges quadratically from the algebraic fit, so these are plenty.
const STEPS: usize = 12;

/// A ball.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ball {
    /// The centre, in metres.
    pub centre: DVec3,
    /// The radius, in metres.
    pub radius: f64,
}

impl Ball {
    /// Signed distance from the surface, in metres, positive outside.
    #[must_use]
    pub fn distance(&self, p: DVec3) -> f64 {
        p.distance(self.centre) - self.radius
    }

    /// The ball with the least sum of squared distances of weighted points from its surface.
    ///
    /// Begins with the algebraic fit (Coope, *Circle fitting by linear and nonlinear least squares*, J. Optim. Theory Appl. 76 (1993) 381), which is
    /// linear, and goes on with Gauss-Newton steps on the true distances. `None` where the points do not fix a ball, as on a plane.
    pub(crate) fn fit(points: &[(DVec3, f64)]) -> Option<Self> {
        Self::after_steps(points, STEPS)
    }

    /// The algebraic fit alone: quick, and good enough to tell a plane from a ball.
    pub(crate) fn roughly(points: &[(DVec3, f64)]) -> Option<Self> {
        Self::after_steps(points, 0)
    }

    fn after_steps(points: &[(DVec3, f64)], steps: usize) -> Option<Self> {
        let total: f64 = points.iter().map(|(_, weight)| weight).sum();
        let middle = points.iter().map(|(p, weight)| *p * *weight).sum::<DVec3>() / total;
        let size = points.iter().map(|(p, _)| p.distance(middle)).fold(0.0, f64::max);
        // In units of the points' own spread the equations are well scaled.
        let scaled: Vec<(DVec3, f64)> =
            points.iter().map(|(p, weight)| ((*p - middle) / size, weight / total)).collect();
        let mut ball = algebraic(&scaled)?;
        for _ in 0..steps {
            ball = improved(&scaled, &ball)?;
        }
        let found = Self { centre: middle + ball.centre * size, radius: ball.radius * size };
        (found.radius.is_finite() && found.radius > 0.0 && found.centre.is_finite()).then_some(found)
    }
}

/// Solves `2 p · c + (r² − c²) = p²` for the least squares.
fn algebraic(points: &[(DVec3, f64)]) -> Option<Ball> {
    let rows = points.iter().map(|(p, weight)| ((*p * 2.0).extend(1.0), p.length_squared(), *weight));
    let x = solve(rows)?;
    let centre = x.truncate();
    let squared = x.w + centre.length_squared();
    (squared > 0.0).then(|| Ball { centre, radius: squared.sqrt() })
}

fn improved(points: &[(DVec3, f64)], ball: &Ball) -> Option<Ball> {
    let rows = points.iter().map(|(p, weight)| {
        let out = (*p - ball.centre).normalize_or(DVec3::Z);
        (out.extend(1.0), ball.distance(*p), *weight)
    });
    let x = solve(rows)?;
    Some(Ball { centre: ball.centre + x.truncate(), radius: ball.radius + x.w })
}

/// The least squares of `row · x = right`.
fn solve(rows: impl Iterator<Item = (DVec4, f64, f64)>) -> Option<DVec4> {
    let (mut matrix, mut right) = (DMat4::ZERO, DVec4::ZERO);
    for (row, value, weight) in rows {
        let scaled = row * weight;
        matrix += DMat4::from_cols(scaled * row.x, scaled * row.y, scaled * row.z, scaled * row.w);
        right += scaled * value;
    }
    let determinant = matrix.determinant();
    (determinant.abs() > 1e-14).then(|| matrix.inverse() * right)
}

/// Root mean square distances of weighted points from a ball and from their best plane.
pub(crate) fn misfits(points: &[(DVec3, f64)], ball: &Ball) -> (f64, f64) {
    let mut moments = Moments::default();
    for (p, weight) in points {
        moments.add(*p, *weight);
    }
    let plane = moments.plane();
    let total: f64 = points.iter().map(|(_, weight)| weight).sum();
    let mean = |distance: &dyn Fn(DVec3) -> f64| {
        (points.iter().map(|(p, weight)| weight * distance(*p).powi(2)).sum::<f64>() / total).sqrt()
    };
    (mean(&|p| ball.distance(p)), mean(&|p| plane.distance(p)))
}

#[cfg(test)]
mod tests {
    use super::Ball;
    use glam::DVec3;

    #[test]
    fn a_ball_is_found_from_its_upper_half() {
        let ball = Ball { centre: DVec3::new(3.0, -2.0, 0.4), radius: 0.15 };
        let golden = std::f64::consts::PI * (3.0 - 5.0_f64.sqrt());
        let points: Vec<(DVec3, f64)> = (0..60)
            .map(|i| {
                let z = 1.0 - 0.8 * (f64::from(i) + 0.5) / 60.0;
                let (s, c) = (golden * f64::from(i)).sin_cos();
                let r = (1.0 - z * z).sqrt();
                (ball.centre + ball.radius * DVec3::new(r * c, r * s, z), 1.0)
            })
            .collect();
        let found = Ball::fit(&points).expect("the points fix a ball");
        assert!(found.centre.distance(ball.centre) < 1e-9 && (found.radius - ball.radius).abs() < 1e-9);
    }

    #[test]
    fn a_plane_is_no_ball() {
        let points: Vec<(DVec3, f64)> =
            (0..49).map(|i| (DVec3::new(f64::from(i % 7), f64::from(i / 7), 0.0), 1.0)).collect();
        assert!(Ball::fit(&points).is_none());
    }
}
