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

/// The same for points (x, y) that belong to a group and to a subject each, where subjects come again in several groups: both have a mean of their own, so
/// that what a subject always is counts as no slope. The means are taken out in turn (Frisch & Waugh 1933). `None` also where x follows from group and
/// subject alone.
#[must_use]
pub fn slope_within_groups_and_subjects(points: &[(f64, f64)], of: &[[usize; 2]]) -> Option<Slope> {
    let counts = [0, 1].map(|way| of.iter().map(|own| own[way] + 1).max().unwrap_or(0));
    let present = |way: usize| (0..counts[way]).filter(|k| of.iter().any(|own| own[way] == *k)).count();
    let mut rests: Vec<[f64; 2]> = points.iter().map(|&(x, y)| [x, y]).collect();
    let size = |rests: &[[f64; 2]]| rests.iter().map(|rest| rest[0] * rest[0]).sum::<f64>();
    let mean_x = points.iter().map(|p| p.0).sum::<f64>() / points.len().max(1) as f64;
    let spread = points.iter().map(|p| (p.0 - mean_x).powi(2)).sum::<f64>();
    for _ in 0..TURNS {
        for way in [0, 1] {
            let mut sums = vec![([0.0; 2], 0.0); counts[way]];
            for (rest, own) in rests.iter().zip(of) {
                let (sum, count) = &mut sums[own[way]];
                *sum = [sum[0] + rest[0], sum[1] + rest[1]];
                *count += 1.0;
            }
            for (rest, own) in rests.iter_mut().zip(of) {
                let (sum, count) = sums[own[way]];
                *rest = [rest[0] - sum[0] / count, rest[1] - sum[1] / count];
            }
        }
    }
    let freedom = points.len().checked_sub(present(0) + present(1)).filter(|freedom| *freedom > 0)? as f64;
    let xx = size(&rests);
    if xx <= NOTHING_LEFT * spread {
        return None;
    }
    let xy: f64 = rests.iter().map(|rest| rest[0] * rest[1]).sum();
    let yy: f64 = rests.iter().map(|rest| rest[1] * rest[1]).sum();
    let value = xy / xx;
    let error = ((yy - value * xy).max(0.0) / freedom / xx).sqrt();
    let reach = StudentsT::new(0.0, 1.0, freedom).ok()?.inverse_cdf(0.975) * error;
    Some(Slope { value, low: value - reach, high: value + reach, points: points.len() })
}

/// So often are the means taken out in turn.
const TURNS: usize = 200;
/// Less than this share of the spread of x says nothing.
const NOTHING_LEFT: f64 = 1e-6;
