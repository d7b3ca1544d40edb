//! The standard normal distribution.

use super::{SplitMix64, erfc, exp, ln, sin_cos};
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// The chance that a standard normal number is below a value, with full relative accuracy in the lower tail.
#[must_use]
pub fn normal_below(value: f64) -> f64 {
    0.5 * erfc(-value * FRAC_1_SQRT_2)
}

/// The density of the standard normal distribution.
#[must_use]
pub fn normal_density(value: f64) -> f64 {
    exp(-0.5 * value * value) / (2.0 * PI).sqrt()
}

/// Standard normal numbers from a stream (Box & Muller, Ann. Math. Stat. 29 (1958) 610).
pub fn normal_numbers(stream: &mut SplitMix64, numbers: &mut [f64]) {
    for pair in numbers.chunks_mut(2) {
        let radius = (-2.0 * ln(1.0 - stream.between(0.0, 1.0))).sqrt();
        let (sin, cos) = sin_cos(2.0 * PI * stream.between(0.0, 1.0));
        pair[0] = radius * cos;
        if let Some(second) = pair.get_mut(1) {
            *second = radius * sin;
        }
    }
}

/// A standard normal number that is below a value.
///
/// In the tail by rejection from an exponential distribution (Robert, Stat. Comput. 5 (1995) 121), else by rejection from the normal one.
pub fn normal_number_below(stream: &mut SplitMix64, value: f64) -> f64 {
    if value > TAIL {
        loop {
            let mut number = [0.0];
            normal_numbers(stream, &mut number);
            if number[0] < value {
                return number[0];
            }
        }
    }
    let rate = 0.5 * (-value + (value * value + 4.0).sqrt());
    loop {
        let beyond = -value - ln(1.0 - stream.between(0.0, 1.0)) / rate;
        if stream.between(0.0, 1.0) <= exp(-0.5 * (beyond - rate) * (beyond - rate)) {
            return -beyond;
        }
    }
}

/// Below this, numbers come from an exponential distribution.
const TAIL: f64 = -0.5;

#[cfg(test)]
mod tests {
    use super::*;

    /// Abramowitz & Stegun, table 26.1 and 26.2 (values from memory): Φ(−1), Φ(−1.96), Φ(−5).
    #[test]
    fn chances_are_those_of_the_tables() {
        for (value, chance) in [(-1.0, 0.158_655_253_9), (-1.96, 0.024_997_895_1), (-5.0, 2.866_515_7e-7)] {
            assert!((normal_below(value) / chance - 1.0).abs() < 1e-8, "{value}");
        }
    }

    /// The mean below a value is −φ/Φ (mean of a truncated normal distribution).
    #[test]
    fn numbers_below_a_value_have_the_mean_of_the_truncated_distribution() {
        let mut stream = SplitMix64::new(3);
        for value in [-4.0, -1.0, -0.2, 1.0] {
            let count = 40_000;
            let numbers = (0..count).map(|_| normal_number_below(&mut stream, value));
            let mean = numbers.inspect(|number| assert!(*number < value)).sum::<f64>() / f64::from(count);
            let expected = -normal_density(value) / normal_below(value);
            assert!((mean - expected).abs() < 0.02, "{value}: {mean}, {expected}");
        }
    }
}
