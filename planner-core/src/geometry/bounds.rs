//! Boxes along the axes around bodies, to see at once what is far off.

use super::{Path, Prism};
use crate::math::DVec3;

/// A box along the world's axes. Its lower end may be minus infinity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    low: DVec3,
    high: DVec3,
}

impl Bounds {
    /// The least box around points; of no points it is empty, and infinitely far from everything.
    #[must_use]
    pub fn of(points: impl Iterator<Item = DVec3>) -> Self {
        points.fold(Self { low: DVec3::INFINITY, high: DVec3::NEG_INFINITY }, |all, p| Self {
            low: all.low.min(p),
            high: all.high.max(p),
        })
    }

    /// Distance of a point in metres, zero inside.
    #[must_use]
    pub fn distance(&self, p: DVec3) -> f64 {
        (self.low - p).max(p - self.high).max(DVec3::ZERO).length()
    }

    /// Distance of another box in metres, zero where they meet.
    #[must_use]
    pub fn distance_to(&self, other: &Self) -> f64 {
        (self.low - other.high).max(other.low - self.high).max(DVec3::ZERO).length()
    }

    /// Whether all of a path is certainly at least so many metres away.
    #[must_use]
    pub fn is_far_from(&self, path: &Path, metres: f64) -> bool {
        self.distance(path.at(0.5 * path.span())) - path.reach_from_middle() >= metres
    }
}

impl Prism {
    /// The least box around the solid. Complexity: linear in the corners.
    #[must_use]
    pub fn bounds(&self) -> Bounds {
        let [_, top] = self.top_range();
        let corners = self.outline.iter();
        Bounds::of(corners.flat_map(|at| [at.extend(self.bottom), at.extend(top)]))
    }
}
