//! A constant plus one harmonic: the form of every coordinate of a point on a circle.

use super::elementary::{acos, atan2, hypot, sin_cos};
use std::f64::consts::{PI, TAU};

/// `mean + cosine·cos θ + sine·sin θ`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wave {
    /// The constant part.
    pub mean: f64,
    /// Coefficient of `cos θ`.
    pub cosine: f64,
    /// Coefficient of `sin θ`.
    pub sine: f64,
}

impl Wave {
    /// A wave from its three coefficients.
    #[must_use]
    pub const fn new(mean: f64, cosine: f64, sine: f64) -> Self {
        Self { mean, cosine, sine }
    }

    /// Value at `theta`.
    #[must_use]
    pub fn at(self, theta: f64) -> f64 {
        let (sin, cos) = sin_cos(theta);
        self.mean + self.cosine * cos + self.sine * sin
    }

    /// Largest distance from the mean.
    #[must_use]
    pub fn amplitude(self) -> f64 {
        hypot(self.cosine, self.sine)
    }

    /// The stationary angles inside `(0, span)` (or `(span, 0)` when `span` is negative), at most 2 per turn, in order from 0.
    pub fn stationary(self, span: f64) -> impl Iterator<Item = f64> {
        let first = if self.amplitude() > 0.0 { Some(atan2(self.sine, self.cosine)) } else { None };
        first.into_iter().flat_map(move |crest| repeats(crest, PI, span))
    }

    /// The angles inside `(0, span)` where the wave is zero.
    pub fn roots(self, span: f64) -> impl Iterator<Item = f64> {
        let amplitude = self.amplitude();
        let ratio = -self.mean / amplitude;
        let roots = if amplitude > 0.0 && ratio.abs() <= 1.0 {
            let (crest, half) = (atan2(self.sine, self.cosine), acos(ratio));
            [Some(crest - half), Some(crest + half)]
        } else {
            [None, None]
        };
        roots.into_iter().flatten().flat_map(move |root| repeats(root, TAU, span))
    }

    /// Smallest value for `θ` between 0 and `span`.
    #[must_use]
    pub fn least(self, span: f64) -> f64 {
        self.stationary(span).map(|t| self.at(t)).fold(self.at(0.0).min(self.at(span)), f64::min)
    }

    /// Largest value for `θ` between 0 and `span`.
    #[must_use]
    pub fn greatest(self, span: f64) -> f64 {
        -Self::new(-self.mean, -self.cosine, -self.sine).least(span)
    }
}

/// All `angle + k·period` strictly between 0 and `span`, nearest 0 first.
pub(super) fn repeats(angle: f64, period: f64, span: f64) -> impl Iterator<Item = f64> {
    let sign = span.signum();
    let first = (sign * angle).rem_euclid(period);
    let reach = span.abs();
    let count = if first < reach { ((reach - first) / period).ceil().min(64.0) as usize } else { 0 };
    (0..count).map(move |k| sign * (first + k as f64 * period))
}
