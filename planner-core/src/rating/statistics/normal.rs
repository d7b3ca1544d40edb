//! The standard normal distribution.

use crate::math::{erfc, exp, ln};
use statrs::distribution::{ContinuousCDF, Normal};
use std::f64::consts::{SQRT_2, TAU};

/// From here on the asymptotic series of the tail is exact to a double.
const FAR: f64 = 25.0;

/// The probability of a value up to `z`.
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    0.5 * erfc(-z / SQRT_2)
}

/// The value that a share `p` of the population does not exceed; NaN outside `[0, 1]`.
#[must_use]
pub fn normal_quantile(p: f64) -> f64 {
    if (0.0..=1.0).contains(&p) { Normal::standard().inverse_cdf(p) } else { f64::NAN }
}

/// The density at `z`.
#[must_use]
pub fn normal_density(z: f64) -> f64 {
    exp(-0.5 * z * z) / TAU.sqrt()
}

/// The logarithm of the probability of a value above `z`.
#[must_use]
pub fn ln_survival(z: f64) -> f64 {
    if z < FAR { ln(normal_cdf(-z)) } else { -0.5 * z * z - 0.5 * ln(TAU) - ln(z) + ln(far_series(z)) }
}

/// The hazard `φ(z) / (1 − Φ(z))`: the inverse of Mills' ratio.
#[must_use]
pub fn normal_hazard(z: f64) -> f64 {
    if z < FAR { normal_density(z) / normal_cdf(-z) } else { z / far_series(z) }
}

/// `1 − 1/z² + 3/z⁴ − 15/z⁶ + 105/z⁸` (Abramowitz & Stegun 26.2.12).
fn far_series(z: f64) -> f64 {
    let w = 1.0 / (z * z);
    1.0 - w * (1.0 - w * (3.0 - w * (15.0 - w * 105.0)))
}
