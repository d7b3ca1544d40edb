//! Distances between two moving points: at the same pace, and each at its own.

use super::Path;
use crate::math::DVec3;

/// Accuracy of the least distance, in metres.
const ACCURACY: f64 = 1e-10;

/// The least distance between two points over a common progress from 0 to 1, and the progress at which it is reached.
///
/// The difference of the points stays within a chord error of its chord. So the distance from the chord to zero, less the chord error, is a lower
/// bound on an interval. Intervals that might contain a smaller value are halved. Within 1e-10 m of the exact value.
#[must_use]
pub fn least_distance_between(a: &Path, b: &Path) -> (f64, f64) {
    let curvature = a.curvature_bound() + b.curvature_bound();
    let difference = |share: f64| a.at(share * a.span()) - b.at(share * b.span());
    let mut best = (difference(0.0).length(), 0.0);
    let end = difference(1.0).length();
    if end < best.0 {
        best = (end, 1.0);
    }
    let mut open = vec![(0.0, 1.0)];
    while let Some((from, to)) = open.pop() {
        let chord = chord_distance(difference(from), difference(to));
        let width: f64 = to - from;
        if chord - curvature * width * width / 8.0 >= best.0 - ACCURACY {
            continue;
        }
        let middle = 0.5 * (from + to);
        let here = difference(middle).length();
        if here < best.0 {
            best = (here, middle);
        }
        open.push((middle, to));
        open.push((from, middle));
    }
    best
}

/// Number of halvings after which two paths count as too near.
const HALVINGS: usize = 4096;

/// Whether two points stay at least `least` metres apart, each anywhere on its path.
///
/// The distance from a point of `b` to the whole of `a` has a closed form, and it changes by no more than that point moves. So a piece of `b` whose
/// middle is farther than `least` plus half its length is clear; other pieces are halved. `true` is proven; paths that run parallel at exactly that
/// distance may count as too near.
#[must_use]
pub fn keep_apart(a: &Path, b: &Path, least: f64) -> bool {
    let length = b.length();
    let mut open = vec![(0.0, 1.0)];
    let mut left = HALVINGS;
    while let Some((from, to)) = open.pop() {
        let middle = 0.5 * (from + to);
        let (distance, _) = a.least_distance_to_point(b.at(middle * b.span()));
        if distance - 0.5 * (to - from) * length >= least {
            continue;
        }
        if distance < least || left == 0 {
            return false;
        }
        left -= 1;
        open.push((middle, to));
        open.push((from, middle));
    }
    true
}

/// Distance from the origin to the segment between two points.
fn chord_distance(a: DVec3, b: DVec3) -> f64 {
    let along = b - a;
    let squared = along.length_squared();
    let share = if squared > 0.0 { (-a.dot(along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    (a + along * share).length()
}
