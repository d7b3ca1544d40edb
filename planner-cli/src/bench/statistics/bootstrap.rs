//! Bootstrap: B. Efron & R. J. Tibshirani, An Introduction to the Bootstrap (1993).
//!
//! What is resampled are whole scenes, never single runs: a report is about scenes like these, and runs on one scene are not
//! independent of each other.

use super::random::Random;
use serde::Serialize;
use statrs::distribution::{ContinuousCDF, Normal};

/// An interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub(crate) struct Interval {
    pub(crate) low: f64,
    pub(crate) high: f64,
}

/// Values of a statistic over resamples of the data, as many as asked for.
pub(crate) fn replicates(
    data: &[f64],
    statistic: impl Fn(&[f64]) -> f64,
    resamples: usize,
    random: &mut Random,
) -> Vec<f64> {
    let mut sample = data.to_vec();
    let mut draw = || {
        sample.fill_with(|| data[random.index(data.len())]);
        statistic(&sample)
    };
    (0..resamples).map(|_| draw()).collect()
}

/// The bias-corrected and accelerated interval (BCa, chapter 14) of a statistic at this level, such as 0.95.
///
/// None for fewer than two values. Where all resamples agree, it is that one value.
pub(crate) fn interval(
    data: &[f64],
    statistic: impl Fn(&[f64]) -> f64 + Copy,
    level: f64,
    resamples: usize,
    random: &mut Random,
) -> Option<Interval> {
    if data.len() < 2 {
        return None;
    }
    let mut values = replicates(data, statistic, resamples, random);
    values.sort_by(f64::total_cmp);
    let (Some(&least), Some(&most)) = (values.first(), values.last()) else { return None };
    let observed = statistic(data);
    if most - least <= f64::EPSILON * observed.abs() {
        return Some(Interval { low: observed, high: observed });
    }
    let normal = Normal::standard();
    // Half of the ties count as below, so that a statistic with few values has no bias of its own.
    let below =
        values.iter().filter(|&&v| v < observed).count() + values.iter().filter(|&&v| v <= observed).count();
    let share = below as f64 / 2.0 / values.len() as f64;
    let bias = normal.inverse_cdf(share);
    let acceleration = acceleration(data, statistic);
    let at = |z: f64| {
        let moved = bias + z;
        normal.cdf(bias + moved / (1.0 - acceleration * moved))
    };
    let z = normal.inverse_cdf(0.5 * (1.0 - level));
    let bound = |z: f64| {
        let share = at(z);
        // The observed value lies outside all resamples only when there is nothing to correct with.
        if share.is_finite() { quantile(&values, share) } else { quantile(&values, normal.cdf(z)) }
    };
    Some(Interval { low: bound(z), high: bound(-z) })
}

/// From leaving out each value once (equation 14.15); 0 where that changes nothing.
fn acceleration(data: &[f64], statistic: impl Fn(&[f64]) -> f64) -> f64 {
    let without = |index: usize| {
        let mut rest = data.to_vec();
        rest.remove(index);
        statistic(&rest)
    };
    let values: Vec<f64> = (0..data.len()).map(without).collect();
    let mean = super::means::mean(&values);
    let (squares, cubes) = values.iter().fold((0.0, 0.0), |(squares, cubes), value| {
        let d = mean - value;
        (squares + d * d, cubes + d * d * d)
    });
    if squares > 0.0 { cubes / (6.0 * squares.powf(1.5)) } else { 0.0 }
}

/// The value below which this share of sorted values lies, linear between neighbours.
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let at = share.clamp(0.0, 1.0) * (sorted.len() - 1) as f64;
    let (below, part) = (at.floor() as usize, at.fract());
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + part * (sorted[above] - sorted[below])
}

#[cfg(test)]
mod tests {
    use super::super::means::{mean, median};
    use super::*;

    /// Efron & Tibshirani (1993), table 2.1: survival of mice in days.
    const TREATMENT: [f64; 7] = [94.0, 197.0, 16.0, 38.0, 99.0, 141.0, 23.0];
    const CONTROL: [f64; 9] = [52.0, 104.0, 146.0, 10.0, 51.0, 30.0, 40.0, 27.0, 46.0];

    fn deviation(values: &[f64]) -> f64 {
        let mean = mean(values);
        (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (values.len() - 1) as f64).sqrt()
    }

    fn near(value: f64, expected: f64, tolerance: f64) {
        assert!((value - expected).abs() <= tolerance, "{value}, expected {expected}");
    }

    /// Means, standard errors and their difference as in the book (14.159 where it prints 14.14).
    #[test]
    fn means_and_standard_errors_of_the_mice() {
        near(mean(&TREATMENT), 86.857, 1e-3);
        near(mean(&CONTROL), 56.222, 1e-3);
        near(mean(&TREATMENT) - mean(&CONTROL), 30.635, 1e-3);
        let error = |data: &[f64]| deviation(data) / (data.len() as f64).sqrt();
        near(error(&TREATMENT), 25.235, 1e-3);
        near(error(&CONTROL), 14.159, 1e-3);
        near(error(&TREATMENT).hypot(error(&CONTROL)), 28.936, 1e-3);
    }

    /// Standard errors of an ideal bootstrap (same book, chapter 2; from memory, computed exactly by order statistics).
    #[test]
    fn bootstrap_standard_errors_of_the_mice() {
        let mut random = Random::new(1);
        let of_mean = deviation(&replicates(&TREATMENT, mean, 20_000, &mut random));
        near(of_mean, 23.3635, 0.02 * 23.3635);
        let of_median = deviation(&replicates(&TREATMENT, median, 20_000, &mut random));
        near(of_median, 37.8347, 0.02 * 37.8347);
    }

    /// For the mean of many values from a normal distribution the interval tends to the one with the normal quantile.
    #[test]
    fn an_interval_of_a_large_sample_is_the_normal_one() {
        let normal = Normal::standard();
        let data: Vec<f64> = (0..400).map(|i| normal.inverse_cdf((f64::from(i) + 0.5) / 400.0)).collect();
        let found = interval(&data, mean, 0.95, 20_000, &mut Random::new(7)).expect("an interval");
        let half = 1.959964 * deviation(&data) / 20.0;
        near(found.low, -half, 0.004);
        near(found.high, half, 0.004);
    }

    #[test]
    fn degenerate_data() {
        let mut random = Random::new(1);
        assert_eq!(interval(&[1.0], mean, 0.95, 100, &mut random), None);
        let same = interval(&[2.0, 2.0, 2.0], mean, 0.95, 100, &mut random);
        assert_eq!(same, Some(Interval { low: 2.0, high: 2.0 }));
        let two = interval(&[0.0, 1.0], mean, 0.95, 1000, &mut random).expect("an interval");
        assert!((0.0..=1.0).contains(&two.low) && two.low < two.high, "{two:?}");
    }

    #[test]
    fn the_same_seed_gives_the_same_interval() {
        let once = |seed| interval(&TREATMENT, mean, 0.95, 999, &mut Random::new(seed));
        assert_eq!(once(3), once(3));
        assert_ne!(once(3), once(4));
    }
}
