//! A vertical prism over a simple polygon, with a level or sloped top.

use super::Slope;
use crate::math::{DVec2, DVec3};

/// A vertical prism: the points whose `x, y` lie in a simple counter-clockwise polygon and whose `z` lies between `bottom` and
/// the plane of the top. `bottom` may be minus infinity.
#[derive(Clone, Debug, PartialEq)]
pub struct Prism {
    /// Corners in metres, counter-clockwise.
    pub outline: Vec<DVec2>,
    /// Lower end in z, in metres.
    pub bottom: f64,
    /// The plane of the top.
    pub top: Slope,
}

impl Prism {
    /// The edges of the outline as pairs of corners.
    pub fn edges(&self) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
        edges_of(&self.outline)
    }

    /// Whether a point lies inside the outline (even-odd rule; on the boundary either answer is possible).
    #[must_use]
    pub fn contains_xy(&self, p: DVec2) -> bool {
        contains_in(self.edges(), p)
    }

    /// Signed distance in the plane from a point to the outline's boundary, in metres, positive inside.
    ///
    /// Complexity: linear in the corners.
    #[must_use]
    pub fn inset(&self, p: DVec2) -> f64 {
        inset(&self.outline, p)
    }

    /// Whether the outlines overlap or come within [`JOINED_M`](super::JOINED_M) of each other.
    #[must_use]
    pub fn meets_from_above(&self, other: &Self) -> bool {
        let near = |a: &Self, b: &Self| a.outline.iter().any(|&corner| b.inset(corner) >= -super::JOINED_M);
        near(self, other)
            || near(other, self)
            || self.edges().any(|ab| other.edges().any(|cd| segments_cross(ab, cd)))
    }

    /// Height of a level top, in metres; of a sloped one the height of its plane over the world's origin.
    #[must_use]
    pub const fn height_m(&self) -> f64 {
        self.top.origin.z
    }

    /// Least and greatest height of the top over the outline, in metres.
    #[must_use]
    pub fn top_range(&self) -> [f64; 2] {
        if self.top.is_level() {
            return [self.top.origin.z; 2];
        }
        let heights = self.outline.iter().map(|&corner| self.top.height_at(corner));
        heights.fold([f64::INFINITY, f64::NEG_INFINITY], |[least, most], z| [least.min(z), most.max(z)])
    }

    /// Whether all of it is seen to be farther from a point than this, by the box around its outline.
    #[must_use]
    pub fn is_seen_beyond(&self, p: DVec2, far: f64) -> bool {
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let box_of = |(low, high): (DVec2, DVec2), at: &DVec2| (low.min(*at), high.max(*at));
        let (low, high) = self.outline.iter().fold(none, box_of);
        (low - p).max_element().max((p - high).max_element()) > far
    }

    /// The point of the solid nearest to `p`; `p` itself when it lies inside.
    #[must_use]
    pub fn nearest_point(&self, p: DVec3) -> DVec3 {
        let xy = p.truncate();
        if !self.top.is_level() {
            return self.nearest_below_slope(p);
        }
        let nearest = if self.contains_xy(xy) { xy } else { nearest_on(self.edges(), xy) };
        nearest.extend(p.z.clamp(self.bottom, self.top.origin.z))
    }

    /// The same where the top is sloped: on the top, or on a wall or its rims.
    fn nearest_below_slope(&self, p: DVec3) -> DVec3 {
        let xy = p.truncate();
        let mut nearest = DVec3::INFINITY;
        if self.contains_xy(xy) && p.z <= self.top.height_at(xy) {
            return p.with_z(p.z.max(self.bottom));
        }
        let foot = self.top.onto(p);
        if self.top.above(p) > 0.0 && self.contains_xy(foot.truncate()) {
            nearest = foot;
        }
        for (a, b) in self.edges() {
            let beside = nearest_on_segment(xy, a, b);
            if beside.distance_squared(xy) >= nearest.distance_squared(p) {
                continue;
            }
            let point = if p.z <= self.top.height_at(beside) {
                beside.extend(p.z.max(self.bottom))
            } else {
                let (from, to) = (self.top.under(a), self.top.under(b));
                let along = to - from;
                from + along * ((p - from).dot(along) / along.length_squared()).clamp(0.0, 1.0)
            };
            if point.distance_squared(p) < nearest.distance_squared(p) {
                nearest = point;
            }
        }
        nearest
    }

    /// Distance from a point to the solid in metres, zero inside.
    #[must_use]
    pub fn distance(&self, p: DVec3) -> f64 {
        (self.nearest_point(p) - p).length()
    }
}

/// The edges of a closed polygon as pairs of corners.
pub(super) fn edges_of(outline: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> + Clone + '_ {
    outline.last().copied().into_iter().chain(outline.iter().copied()).zip(outline.iter().copied())
}

/// Whether a point lies inside closed rings of edges (even-odd rule).
pub(super) fn contains_in(edges: impl Iterator<Item = (DVec2, DVec2)>, p: DVec2) -> bool {
    let mut inside = false;
    for (a, b) in edges {
        if (a.y > p.y) != (b.y > p.y) {
            let x = a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x);
            inside ^= p.x < x;
        }
    }
    inside
}

/// Signed distance from a point to a polygon's boundary, positive inside.
#[must_use]
pub fn inset(outline: &[DVec2], p: DVec2) -> f64 {
    let distance = (nearest_on(edges_of(outline), p) - p).length();
    if contains_in(edges_of(outline), p) { distance } else { -distance }
}

/// The nearest point of some edges; `p` itself where there are none.
pub(super) fn nearest_on(edges: impl Iterator<Item = (DVec2, DVec2)>, p: DVec2) -> DVec2 {
    let mut best = (f64::INFINITY, p);
    for (a, b) in edges {
        let q = nearest_on_segment(p, a, b);
        let squared = (q - p).length_squared();
        if squared < best.0 {
            best = (squared, q);
        }
    }
    best.1
}

/// Distance in the plane from a point to a segment.
pub(super) fn distance_to_segment(p: DVec2, a: DVec2, b: DVec2) -> f64 {
    nearest_on_segment(p, a, b).distance(p)
}

fn nearest_on_segment(p: DVec2, a: DVec2, b: DVec2) -> DVec2 {
    let along = b - a;
    let share = (p - a).dot(along) / along.length_squared();
    a + along * share.clamp(0.0, 1.0)
}

/// Whether two segments cross, each in its interior.
fn segments_cross((a, b): (DVec2, DVec2), (c, d): (DVec2, DVec2)) -> bool {
    let side = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}
