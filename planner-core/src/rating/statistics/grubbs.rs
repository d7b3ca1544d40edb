//! Whether the smallest value of a sample is an outlier (Grubbs, Technometrics 11 (1969) 1; one-sided).

use super::summary::Summary;
use statrs::distribution::{ContinuousCDF, StudentsT};

/// How far the smallest value lies below the mean, in standard deviations; `None` where there is no standard deviation.
#[must_use]
pub fn grubbs_lowest(values: &[f64]) -> Option<f64> {
    let summary = Summary::of(values)?;
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    summary.sd.filter(|sd| *sd > 0.0).map(|sd| (summary.mean - least) / sd)
}

/// The distance that the smallest of `n` normal values exceeds with probability `significance`; `None` below three values.
#[must_use]
pub fn grubbs_critical(n: usize, significance: f64) -> Option<f64> {
    if n < 3 || !(significance > 0.0 && significance < 1.0) {
        return None;
    }
    let size = n as f64;
    let t = StudentsT::new(0.0, 1.0, size - 2.0).ok()?.inverse_cdf(1.0 - significance / size);
    Some((size - 1.0) / size.sqrt() * (t * t / (size - 2.0 + t * t)).sqrt())
}
