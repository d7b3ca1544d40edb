//! The factor of a one-sided tolerance limit of a normal population.

use super::normal::{normal_cdf, normal_quantile};
use crate::math::{exp, ln};
use statrs::function::gamma::ln_gamma;

/// The factor `k` for which `mean − k s` of `n` values lies below a share of the population with a confidence (both in `(0, 1)`); `None` below two
/// values, or out of these ranges.
///
/// This is the quantile of the noncentral t distribution over `√n` (ISO 16269-6; NIST/SEMATECH e-Handbook 7.2.6.3), here from the equation that
/// defines it: with `s = χ/√ν`, `ν = n − 1`, the mean over `s` of `Φ(√n (k s − z))` is the confidence. No approximation is made but that of the integral, a sum over
/// equal steps of `ln s`, which converges exponentially; it agrees with the quantile to 1e-11.
#[must_use]
pub fn tolerance_factor(n: usize, share: f64, confidence: f64) -> Option<f64> {
    let in_range = |p: f64| p > 0.0 && p < 1.0;
    if n < 2 || !in_range(share) || !in_range(confidence) {
        return None;
    }
    let z = normal_quantile(share);
    let root = (n as f64).sqrt();
    let spread = Spread::new(n - 1);
    // Grows with the factor, from minus to plus infinity.
    let missing = |k: f64| spread.mean(|s| normal_cdf(root * (k * s - z))) - confidence;
    let (mut low, mut high) = (z - 1.0, z + 1.0);
    while missing(high) < 0.0 && high < 1e9 {
        high = z + 2.0 * (high - z);
    }
    while missing(low) > 0.0 && low > -1e9 {
        low = z + 2.0 * (low - z);
    }
    Some(root_between(missing, low, high))
}

/// The root of a growing function: false position by the Illinois rule (Dowell & Jarratt, BIT 11 (1971) 168), which halves the value at an end
/// that stays twice.
fn root_between(of: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    let (mut below, mut above) = (of(low), of(high));
    let mut stayed = 0;
    for _ in 0..200 {
        let guess = (high - (high - low) * above / (above - below)).clamp(low, high);
        let value = of(guess);
        if value == 0.0 || high - low <= 1e-13 * (1.0 + guess.abs()) {
            return guess;
        }
        if value < 0.0 {
            (low, below) = (guess, value);
            if stayed < 0 {
                above *= 0.5;
            }
            stayed = -1;
        } else {
            (high, above) = (guess, value);
            if stayed > 0 {
                below *= 0.5;
            }
            stayed = 1;
        }
        if value.abs() <= 1e-15 {
            return guess;
        }
    }
    0.5 * (low + high)
}

/// The distribution of `χ_ν/√ν` as points with weights.
struct Spread {
    points: Vec<(f64, f64)>,
}

impl Spread {
    fn new(freedom: usize) -> Self {
        let nu = freedom as f64;
        // Its logarithm has about this standard deviation.
        let width = 1.0 / (2.0 * nu).sqrt();
        let (from, to) = (-0.5 - 40.0 / nu, ln(1.0 + 11.0 * width));
        let step = 0.15 * width;
        let log_constant = 0.5 * nu * ln(0.5 * nu) - ln_gamma(0.5 * nu) + ln(2.0);
        let point = |index: usize| {
            let t = from + step * index as f64;
            let s = exp(t);
            (s, step * exp(log_constant + nu * t - 0.5 * nu * s * s))
        };
        let count = ((to - from) / step).ceil() as usize;
        Self { points: (0..=count).map(point).filter(|(_, weight)| *weight > 1e-18).collect() }
    }

    fn mean(&self, of: impl Fn(f64) -> f64) -> f64 {
        self.points.iter().map(|(s, weight)| weight * of(*s)).sum()
    }
}
