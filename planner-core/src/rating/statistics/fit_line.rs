//! The common slope of several groups: ordinary least squares with a mean of its own for each group (analysis of covariance).

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, StudentsT};

/// A slope with its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Slope {
    /// The change of y for each unit of x.
    pub value: f64,
    /// The lower end of its 95 % interval.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The number of points.
    pub points: usize,
}

/// The slope within groups of points (x, y); `None` where x does not vary within them, or nothing is left to tell the error by.
#[must_use]
pub fn slope_within_groups(groups: &[Vec<(f64, f64)>]) -> Option<Slope> {
    let (mut xx, mut xy, mut yy, mut points, mut means) = (0.0, 0.0, 0.0, 0, 0);
    for group in groups.iter().filter(|group| !group.is_empty()) {
        let n = group.len() as f64;
        let (mean_x, mean_y) =
            (group.iter().map(|p| p.0).sum::<f64>() / n, group.iter().map(|p| p.1).sum::<f64>() / n);
        for (x, y) in group {
            let (dx, dy) = (x - mean_x, y - mean_y);
            xx += dx * dx;
            xy += dx * dy;
            yy += dy * dy;
        }
        points += group.len();
        means += 1;
    }
    let freedom = points.checked_sub(means + 1).filter(|freedom| *freedom > 0)? as f64;
    if xx <= 0.0 {
        return None;
    }
    let value = xy / xx;
    let error = ((yy - value * xy).max(0.0) / freedom / xx).sqrt();
    let reach = StudentsT::new(0.0, 1.0, freedom).ok()?.inverse_cdf(0.975) * error;
    Some(Slope { value, low: value - reach, high: value + reach, points })
}
