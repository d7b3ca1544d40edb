//! A constant plus two harmonics: the squared distance from a point on a circle to a straight line.

use super::elementary::{atan2, hypot, sin_cos};
use super::wave::repeats;
use std::f64::consts::TAU;

/// A second harmonic smaller than this fraction of the first is lost in rounding.
const LOST: f64 = 1e-15;
/// Squared convergence limit of the root iteration, relative to the root: it stops when no root moves by more than half the digits of double
/// precision, because it converges cubically.
const AT_REST_SQUARED: f64 = 1e-16;
/// The polynomial, scaled to coefficients up to 1, is zero up to rounding when its square is below this.
const ZERO_SQUARED: f64 = 1e-26;
/// A Newton step longer than this, in radians, comes from a slope that is nearly zero and is not taken.
const SMALL_STEP_RAD: f64 = 1e-6;

/// `mean + c1·cos θ + s1·sin θ + c2·cos 2θ + s2·sin 2θ`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SecondWave {
    /// The constant part.
    pub mean: f64,
    /// Coefficients of `cos θ` and `sin θ`.
    pub first: [f64; 2],
    /// Coefficients of `cos 2θ` and `sin 2θ`.
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
        let (s, c) = sin_cos(theta);
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

    /// Angles inside `(0, span)`, at most four per turn, that include all stationary ones.
    ///
    /// On the unit circle the slope is a polynomial of degree four in `exp(iθ)`; the angles are those of its roots, wherever they lie. If the root
    /// iteration does not converge, a turn is halved until every cell is decided.
    #[must_use]
    pub fn stationary(self, span: f64) -> Vec<f64> {
        let [first, second] = [self.first, self.second].map(|f| hypot(f[0], f[1]));
        if second <= LOST * first {
            return super::Wave::new(self.mean, self.first[0], self.first[1]).stationary(span).collect();
        }
        let slope = self.slope();
        let roots = root_angles(slope).unwrap_or_else(|| isolated_roots(slope));
        let mut inside: Vec<f64> = roots.iter().flat_map(|&root| repeats(root, TAU, span)).collect();
        inside.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        inside
    }
}

/// Angles of the four roots of `2 z² g = c4 z⁴ + c3 z³ + c3* z + c4*`, `z = exp(iθ)`, by the Ehrlich–Aberth iteration (Aberth, Math. Comp. 27
/// (1973) 339); `None` if it does not converge.
fn root_angles(g: SecondWave) -> Option<Vec<f64>> {
    let scale = 1.0 / hypot(g.first[0], g.first[1]).max(hypot(g.second[0], g.second[1]));
    let c3 = Complex(g.first[0] * scale, -g.first[1] * scale);
    let c4 = Complex(g.second[0] * scale, -g.second[1] * scale);
    // Off the unit circle and without symmetry: the polynomial is its own mirror image in the circle, and the start must not be.
    let mut roots = [Complex(0.62, 0.35), Complex(-0.45, 0.78), Complex(-1.05, -0.52), Complex(0.47, -1.31)];
    for _ in 0..40 {
        let mut moved = 0.0_f64;
        for k in 0..4 {
            let z = roots[k];
            let value =
                c4.times(z).plus(c3).times(z).times(z).plus(c3.mirrored()).times(z).plus(c4.mirrored());
            let slope = c4.times(z).scaled(4.0).plus(c3.scaled(3.0)).times(z).times(z).plus(c3.mirrored());
            // value / (slope − value · Σ 1/(z − other)), in one division so that a zero slope is harmless.
            let mut pull = Complex(0.0, 0.0);
            for (j, &other) in roots.iter().enumerate() {
                if j != k {
                    pull = pull.plus(z.minus(other).inverse());
                }
            }
            let step = value.times(slope.minus(value.times(pull)).inverse());
            if !(step.0.is_finite() && step.1.is_finite()) {
                if value.square() < ZERO_SQUARED {
                    continue;
                }
                return None;
            }
            roots[k] = z.minus(step);
            moved = moved.max(step.square() / z.square().max(f64::MIN_POSITIVE));
        }
        // Near a double root the last digits keep changing; where the slope is so flat the value is accurate anyway.
        if moved < AT_REST_SQUARED {
            return Some(roots.iter().map(|z| polished(g, atan2(z.1, z.0))).collect());
        }
    }
    None
}

/// One Newton step, if it is small.
fn polished(g: SecondWave, angle: f64) -> f64 {
    let step = g.at(angle) / g.slope().at(angle);
    if step.abs() < SMALL_STEP_RAD { angle - step } else { angle }
}

/// A complex number.
#[derive(Clone, Copy, Debug)]
struct Complex(f64, f64);

impl Complex {
    fn plus(self, b: Self) -> Self {
        Self(self.0 + b.0, self.1 + b.1)
    }

    fn minus(self, b: Self) -> Self {
        Self(self.0 - b.0, self.1 - b.1)
    }

    fn times(self, b: Self) -> Self {
        Self(self.0 * b.0 - self.1 * b.1, self.0 * b.1 + self.1 * b.0)
    }

    fn scaled(self, factor: f64) -> Self {
        Self(self.0 * factor, self.1 * factor)
    }

    fn mirrored(self) -> Self {
        Self(self.0, -self.1)
    }

    fn inverse(self) -> Self {
        let square = self.square();
        Self(self.0 / square, -self.1 / square)
    }

    /// Its squared modulus.
    fn square(self) -> f64 {
        self.0 * self.0 + self.1 * self.1
    }
}

/// The roots of a slope in a turn by bisection, until a cell provably contains no root (second-order Taylor bound) or the slope is provably monotone
/// on it.
fn isolated_roots(slope: SecondWave) -> Vec<f64> {
    let derivative = slope.slope();
    let bound =
        hypot(derivative.first[0], derivative.first[1]) + hypot(derivative.second[0], derivative.second[1]);
    let mut roots = Vec::with_capacity(4);
    if bound > f64::MIN_POSITIVE {
        isolate(slope, derivative, bound, 0.0, TAU, 0, &mut roots);
    }
    roots
}

/// A cell this deep is 6e-9 rad wide.
const DEEPEST: u32 = 30;

/// Adds the roots of `g` in `[from, to)` to `roots`; `bound` is at least the largest `|g'|`, and `derivative` is `g'`.
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
            roots.push(middle); // a double root, to double precision
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Both root finders, on waves that are random, nearly of one harmonic, nearly of the other, and with triple roots.
    #[test]
    fn halving_and_iteration_find_the_same_least_values() {
        let mut seed = 7_u64;
        let mut random = move || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
        };
        let mut converged = 0;
        for case in 0..20_000 {
            let (weight, other) = match case % 5 {
                0 => (1e-9, 1.0),
                1 => (1.0, 1e-9),
                2 => (1e-4, 1.0),
                _ => (1.0, 1.0),
            };
            let mut wave = SecondWave {
                mean: random(),
                first: [random() * other, random() * other],
                second: [random() * weight, random() * weight],
            };
            if case % 5 == 4 {
                // |first| = 4·|second| in phase: a triple root of the slope.
                wave.first = [-4.0 * random().abs(), 0.0];
                wave.second = [-0.25 * wave.first[0], 0.0];
            }
            let by_halving = isolated_roots(wave.slope());
            let least = |angles: &[f64]| angles.iter().map(|&t| wave.at(t)).fold(f64::INFINITY, f64::min);
            let size = hypot(wave.first[0], wave.first[1]) + hypot(wave.second[0], wave.second[1]);
            if let Some(angles) = root_angles(wave.slope()) {
                converged += 1;
                let off = least(&angles) - least(&by_halving);
                assert!(off.abs() <= 1e-13 * size.max(1.0), "case {case}: {off:e} of {wave:?}");
            }
        }
        // Those with a triple root are left to bisection.
        assert!(converged >= 15_900, "only {converged} of 20000 converged");
    }
}
