//! The difference of two means (Welch, Biometrika 34 (1947) 28).

use super::summary::Summary;
use serde::Serialize;
use statrs::distribution::{ContinuousCDF, StudentsT};

/// The second mean less the first, and whether that may be chance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Welch {
    /// The difference.
    pub difference: f64,
    /// The statistic t.
    pub t: f64,
    /// Its degrees of freedom.
    pub freedom: f64,
    /// The two-sided p value.
    pub p: f64,
    /// The lower end of the 95 % interval of the difference.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// Compares two samples; `None` where one has fewer than two values, or neither varies.
#[must_use]
pub fn welch(first: &[f64], second: &[f64]) -> Option<Welch> {
    let parts = [first, second].map(|values| {
        let summary = Summary::of(values)?;
        summary.sd.map(|sd| (summary.mean, sd * sd / summary.n as f64, summary.n as f64 - 1.0))
    });
    let [Some((mean, error, freedom)), Some((other_mean, other_error, other_freedom))] = parts else {
        return None;
    };
    let variance = error + other_error;
    if variance <= 0.0 {
        return None;
    }
    let (difference, scale) = (other_mean - mean, variance.sqrt());
    let t = difference / scale;
    let freedom = variance * variance / (error * error / freedom + other_error * other_error / other_freedom);
    let students = StudentsT::new(0.0, 1.0, freedom).ok()?;
    let p = 2.0 * students.cdf(-t.abs());
    let reach = scale * students.inverse_cdf(0.975);
    Some(Welch { difference, t, freedom, p, low: difference - reach, high: difference + reach })
}
