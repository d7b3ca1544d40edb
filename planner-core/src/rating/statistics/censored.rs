//! Normal samples of which the largest values are only known to exceed something (censored on the right).

use super::normal::{ln_survival, normal_hazard, normal_quantile};
use crate::math::{SplitMix64, ln};

/// Samples drawn for a factor.
const DRAWS: usize = 20_000;
/// Standard errors of the simulation by which a factor is on the safe side.
const SAFE: f64 = 3.0;
const SEED: u64 = 0x7075_6c6c;

/// The most likely normal distribution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CensoredFit {
    /// Its mean.
    pub mean: f64,
    /// Its standard deviation (of maximum likelihood, without a correction for the size of the sample).
    pub sd: f64,
}

/// A sample as far as its likelihood depends on it.
struct Likelihood {
    known: f64,
    sum: f64,
    squares: f64,
    /// Values that are exceeded, and how often.
    exceeded: Vec<(f64, f64)>,
}

/// The normal distribution of greatest likelihood for values that are known and values that are exceeded; `None` with fewer than two different
/// known values.
///
/// In `1/σ` and `μ/σ` the logarithm of the likelihood is concave (Olsen, Econometrica 46 (1978) 1211), so Newton's method with shortened steps finds its
/// only maximum.
#[must_use]
pub fn fit_censored(known: &[f64], exceeded: &[f64]) -> Option<CensoredFit> {
    let count = known.len() as f64;
    let mean = known.iter().sum::<f64>() / count;
    let scale = (known.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / count).sqrt();
    if known.len() < 2 || !scale.is_finite() || scale <= 1e-12 * mean.abs() {
        return None;
    }
    let mut sorted: Vec<f64> = exceeded.iter().map(|v| (v - mean) / scale).collect();
    sorted.sort_by(f64::total_cmp);
    let exceeded = sorted.chunk_by(|a, b| a == b).map(|same| (same[0], same.len() as f64)).collect();
    // In units in which the known values have mean 0 and standard deviation 1.
    let fit = Likelihood { known: count, sum: 0.0, squares: count, exceeded }.maximum()?;
    Some(CensoredFit { mean: mean + scale * fit.mean, sd: scale * fit.sd })
}

impl Likelihood {
    /// Its logarithm at `centre = μ/σ`, `inverse = 1/σ`.
    fn value(&self, centre: f64, inverse: f64) -> f64 {
        let squares = inverse * inverse * self.squares - 2.0 * inverse * centre * self.sum
            + centre * centre * self.known;
        let tails: f64 =
            self.exceeded.iter().map(|(x, times)| times * ln_survival(inverse * x - centre)).sum();
        self.known * ln(inverse) - 0.5 * squares + tails
    }

    /// The step of Newton's method.
    fn step(&self, centre: f64, inverse: f64) -> (f64, f64) {
        let mut slope = (inverse * self.sum - centre * self.known, 0.0);
        slope.1 = self.known / inverse - inverse * self.squares + centre * self.sum;
        let (mut a, mut b, mut d) = (self.known, -self.sum, self.squares + self.known / (inverse * inverse));
        for (x, times) in &self.exceeded {
            let z = inverse * x - centre;
            let hazard = normal_hazard(z);
            let bend = times * hazard * (hazard - z);
            slope.0 += times * hazard;
            slope.1 -= times * hazard * x;
            a += bend;
            b -= bend * x;
            d += bend * x * x;
        }
        let determinant = a * d - b * b;
        ((d * slope.0 - b * slope.1) / determinant, (a * slope.1 - b * slope.0) / determinant)
    }

    fn maximum(&self) -> Option<CensoredFit> {
        let (mut centre, mut inverse) = (0.0, 1.0);
        let mut best = self.value(centre, inverse);
        for _ in 0..200 {
            let (by_centre, by_inverse) = self.step(centre, inverse);
            let mut share = 1.0;
            let next = loop {
                let (c, i) = (centre + share * by_centre, inverse + share * by_inverse);
                let value = if i > 0.0 { self.value(c, i) } else { f64::NEG_INFINITY };
                if value >= best {
                    break Some((c, i, value));
                }
                share *= 0.5;
                if share < 1e-9 {
                    // Rounding leaves nothing to gain.
                    break None;
                }
            };
            let Some((c, i, value)) = next else { break };
            let moved = (c - centre).abs() + (i - inverse).abs() / i;
            (centre, inverse, best) = (c, i, value);
            if moved < 1e-12 * (1.0 + centre.abs()) {
                break;
            }
        }
        let fit = CensoredFit { mean: centre / inverse, sd: 1.0 / inverse };
        (fit.mean.is_finite() && fit.sd.is_finite()).then_some(fit)
    }
}

/// The factor `k` for which `mean − k sd` of [`fit_censored`] lies below a share of a normal population with a confidence, when of `n` values the
/// `known` smallest are known and the others only exceed the largest of these (type II censoring); `None` below two known values, or where no factor is finite.
///
/// `(mean − quantile)/sd` of such samples depends on no parameter, so its distribution is simulated, with a fixed seed. The factor is taken on the
/// safe side of the simulation's error.
#[must_use]
pub fn type_ii_factor(n: usize, known: usize, share: f64, confidence: f64) -> Option<f64> {
    if known < 2 || known > n || !(share > 0.0 && share < 1.0 && confidence > 0.0 && confidence < 1.0) {
        return None;
    }
    let quantile = -normal_quantile(share);
    let mut random = SplitMix64::new(SEED);
    let mut sample = vec![0.0; n];
    let mut pivots: Vec<f64> = (0..DRAWS)
        .map(|_| {
            sample.fill_with(|| random.normal());
            sample.sort_by(f64::total_cmp);
            let exceeded = vec![sample[known - 1]; n - known];
            let fit = fit_censored(&sample[..known], &exceeded);
            fit.map_or(f64::INFINITY, |fit| (fit.mean - quantile) / fit.sd)
        })
        .collect();
    pivots.sort_by(f64::total_cmp);
    let draws = DRAWS as f64;
    let rank = draws * confidence + SAFE * (draws * confidence * (1.0 - confidence)).sqrt();
    pivots.get(rank.ceil() as usize).copied().filter(|factor| factor.is_finite())
}
