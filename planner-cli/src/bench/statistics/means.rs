//! Means of times and ratios.

/// Arithmetic mean; not a number for nothing.
pub(crate) fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

/// Middle value, or the mean of the two in the middle; not a number for nothing.
pub(crate) fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    match sorted.len() {
        0 => f64::NAN,
        n if n % 2 == 1 => sorted[n / 2],
        n => 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]),
    }
}

/// Shifted geometric mean, `exp(mean(log(x + shift))) - shift`, of values above `-shift`. A shift keeps values near 0, which
/// nobody cares about, from ruling the mean; 0 gives the geometric mean.
///
/// As in H. Mittelmann's benchmarks of optimisation software and in the scoring of PACE 2023.
pub(crate) fn shifted_geometric_mean(values: &[f64], shift: f64) -> f64 {
    let logs: Vec<f64> = values.iter().map(|value| (value + shift).ln()).collect();
    mean(&logs).exp() - shift
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1, 10, 100: 10, and with a shift of 10: 18.9249.
    #[test]
    fn geometric_means() {
        assert!((shifted_geometric_mean(&[1.0, 10.0, 100.0], 0.0) - 10.0).abs() < 1e-12);
        assert!((shifted_geometric_mean(&[1.0, 10.0, 100.0], 10.0) - 18.9249).abs() < 1e-4);
    }

    #[test]
    fn medians() {
        assert_eq!(median(&[3.0, 1.0, 2.0]), 2.0);
        assert_eq!(median(&[4.0, 1.0, 3.0, 2.0]), 2.5);
        assert!(median(&[]).is_nan());
    }
}
