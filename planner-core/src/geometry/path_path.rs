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

/// The distance between two segments, each given by its beginning and the step to its end, in metres.
///
/// Ericson, Real-Time Collision Detection (2005), section 5.1.9.
fn between_segments((p, u): (DVec3, DVec3), (q, v): (DVec3, DVec3)) -> f64 {
    let (a, e, across) = (u.length_squared(), v.length_squared(), p - q);
    let (c, f, b) = (u.dot(across), v.dot(across), u.dot(v));
    let share = |over: f64, of: f64| if of > 0.0 { (over / of).clamp(0.0, 1.0) } else { 0.0 };
    // The point of the first line nearest to the second, then the nearest of the second segment, then the nearest of the first again.
    let s = share(b * f - c * e, a * e - b * b);
    let t = share(b * s + f, e);
    let s = share(b * t - c, a);
    (across + u * s - v * t).length()
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
    if let (Path::Line { from: p, step: u }, Path::Line { from: q, step: v }) = (a, b) {
        return between_segments((*p, *u), (*q, *v)) >= least;
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::SplitMix64;

    /// No pair of sampled points is nearer than the closed form says, and some pair is nearly as near.
    #[test]
    fn segments_are_as_far_apart_as_their_nearest_samples() {
        let mut random = SplitMix64::new(29);
        for case in 0..400 {
            let mut any = || DVec3::from_array([0; 3].map(|_| random.between(-1.0, 1.0)));
            let (p, u, q) = (any(), any(), any());
            // Some are parallel, some are points.
            let v = match case % 4 {
                0 => u * -0.7,
                1 => DVec3::ZERO,
                _ => any(),
            };
            let exact = between_segments((p, u), (q, v));
            let steps = 200_u32;
            let share = |k: u32| f64::from(k) / f64::from(steps);
            let sampled = (0..=steps)
                .flat_map(|s| (0..=steps).map(move |t| (s, t)))
                .map(|(s, t)| (p + u * share(s)).distance(q + v * share(t)))
                .fold(f64::INFINITY, f64::min);
            let spacing = (u.length() + v.length()) / f64::from(steps);
            assert!(exact <= sampled + 1e-12 && sampled <= exact + spacing, "{exact} {sampled}");
        }
    }
}
