//! A constant plus two harmonics: the squared distance from a point on a circle to a straight line.

use super::wave::repeats;
use std::f64::consts::TAU;

/// `mean + c1·cos θ + s1·sin θ + c2·cos 2θ + s2·sin 2θ`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondWave {
    /// The constant part.
    pub mean: f64,
    /// Factors of `cos θ` and `sin θ`.
    pub first: [f64; 2],
    /// Factors of `cos 2θ` and `sin 2θ`.
    pub second: [f64; 2],
}

impl SecondWave {
    /// The square of the wave `mean + cosine·cos θ + sine·sin θ`.
    #[must_use]
    pub fn square(wave: super::Wave) -> Self {
        let (m, c, s) = (wave.mean, wave.cosine, wave.sine);
        Self {
            mean: m * m + 0.5 * (c * c + s * s),
            first: [2.0 * m * c, 2.0 * m * s],
            second: [0.5 * (c * c - s * s), c * s],
        }
    }

    /// Sum of two such waves.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            mean: self.mean + other.mean,
            first: [self.first[0] + other.first[0], self.first[1] + other.first[1]],
            second: [self.second[0] + other.second[0], self.second[1] + other.second[1]],
        }
    }

    /// Value at `theta`.
    #[must_use]
    pub fn at(self, theta: f64) -> f64 {
        let (s, c) = theta.sin_cos();
        let (s2, c2) = (2.0 * s * c, c * c - s * s);
        self.mean + self.first[0] * c + self.first[1] * s + self.second[0] * c2 + self.second[1] * s2
    }

    fn slope(self) -> Self {
        Self {
            mean: 0.0,
            first: [self.first[1], -self.first[0]],
            second: [2.0 * self.second[1], -2.0 * self.second[0]],
        }
    }

    /// The stationary angles inside `(0, span)`, at most four a turn.
    ///
    /// The slope has two harmonics and so at most four roots a turn. A turn is halved until a cell provably holds no root
    /// (second-order Taylor bound) or the slope is provably monotone on it, and then bisected.
    #[must_use]
    pub fn stationary(self, span: f64) -> Vec<f64> {
        let [first, second] = [self.first, self.second].map(|f| f[0].hypot(f[1]));
        if second <= 1e-15 * first {
            return super::Wave::new(self.mean, self.first[0], self.first[1]).stationary(span).collect();
        }
        let slope = self.slope();
        let curvature = slope.slope();
        let bound =
            curvature.first[0].hypot(curvature.first[1]) + curvature.second[0].hypot(curvature.second[1]);
        if bound <= f64::MIN_POSITIVE {
            return Vec::new();
        }
        let mut roots = Vec::with_capacity(4);
        isolate(slope, curvature, bound, 0.0, TAU, 0, &mut roots);
        let mut inside: Vec<f64> = roots.iter().flat_map(|&root| repeats(root, TAU, span)).collect();
        inside.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        inside
    }
}

/// A cell this deep is 6e-9 rad wide.
const DEEPEST: u32 = 30;

/// Adds the roots of `g` in `[from, to)` to `roots`; `bound` is at least the largest `|g'|`, `derivative` is `g'`.
fn isolate(
    g: SecondWave,
    derivative: SecondWave,
    bound: f64,
    from: f64,
    to: f64,
    depth: u32,
    roots: &mut Vec<f64>,
) {
    let middle = 0.5 * (from + to);
    let half = 0.5 * (to - from);
    let tilt = derivative.at(middle).abs();
    // |g''| ≤ 2·bound for two harmonics.
    if g.at(middle).abs() > (tilt + bound * half) * half {
        return; // too far from zero to get there within the cell
    }
    let monotone = tilt > 2.0 * bound * half;
    if monotone || depth >= DEEPEST {
        let (low, high) = (g.at(from), g.at(to));
        if low == 0.0 {
            roots.push(from);
        } else if low * high < 0.0 {
            roots.push(bisect(g, from, to, low));
        } else if depth >= DEEPEST {
            roots.push(middle); // a double root: as near as doubles tell
        }
        return;
    }
    isolate(g, derivative, bound, from, middle, depth + 1, roots);
    isolate(g, derivative, bound, middle, to, depth + 1, roots);
}

fn bisect(g: SecondWave, mut from: f64, mut to: f64, low: f64) -> f64 {
    for _ in 0..60 {
        let middle = 0.5 * (from + to);
        if middle <= from || middle >= to {
            break;
        }
        if (g.at(middle) > 0.0) == (low > 0.0) { from = middle } else { to = middle }
    }
    0.5 * (from + to)
}
