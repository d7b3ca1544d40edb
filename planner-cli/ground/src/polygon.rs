//! Plane polygons.

use glam::DVec2;

/// The distance of a point from a segment.
pub(crate) fn to_segment(p: DVec2, a: DVec2, b: DVec2) -> f64 {
    let along = b - a;
    let squared = along.length_squared();
    let t = if squared > 0.0 { ((p - a).dot(along) / squared).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + along * t)
}

/// The area of a polygon, positive if it runs counter-clockwise.
pub(crate) fn area(ring: &[DVec2]) -> f64 {
    let Some(&first) = ring.first() else { return 0.0 };
    ring.windows(2).map(|pair| 0.5 * (pair[0] - first).perp_dot(pair[1] - first)).sum()
}

/// Whether a point lies within a polygon, by the even-odd rule.
pub(crate) fn contains(ring: &[DVec2], p: DVec2) -> bool {
    (0..ring.len())
        .filter(|&i| {
            let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
        })
        .count()
        % 2
        == 1
}

/// The least and the greatest coordinates of points.
pub(crate) fn extent(points: impl IntoIterator<Item = DVec2>) -> (DVec2, DVec2) {
    let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
    points.into_iter().fold(none, |(low, high), p| (low.min(p), high.max(p)))
}
