//! Whether a polygon is simple and counter-clockwise.

use crate::math::DVec2;

/// An error of an outline; corners count from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum OutlineFault {
    /// Two consecutive corners are the same point; the index of the second one.
    ZeroEdge(usize),
    /// The edges that start at these corners intersect.
    Meets(usize, usize),
    /// The corners are in clockwise order.
    Clockwise,
}

/// The first fault of an outline with at least three corners, all finite. Complexity: quadratic in the corners.
pub(crate) fn outline_fault(corners: &[DVec2]) -> Option<OutlineFault> {
    let edges: Vec<(DVec2, DVec2)> =
        corners.iter().copied().zip(corners.iter().copied().cycle().skip(1)).collect();
    if let Some(at) = edges.iter().position(|(a, b)| a == b) {
        return Some(OutlineFault::ZeroEdge((at + 1) % edges.len()));
    }
    for (i, &first) in edges.iter().enumerate() {
        for (j, &second) in edges.iter().enumerate().skip(i + 1) {
            let meet = if j == i + 1 {
                folds_back(first, second)
            } else if i == 0 && j + 1 == edges.len() {
                folds_back(second, first)
            } else {
                meet(first, second)
            };
            if meet {
                return Some(OutlineFault::Meets(i, j));
            }
        }
    }
    let origin = corners.first().copied().unwrap_or_default();
    let area: f64 = edges.iter().map(|(a, b)| (*a - origin).perp_dot(*b - origin)).sum();
    (area <= 0.0).then_some(OutlineFault::Clockwise)
}

/// Whether the second edge runs back over the first, at whose end it begins.
fn folds_back((a, b): (DVec2, DVec2), (_, c): (DVec2, DVec2)) -> bool {
    (b - a).perp_dot(c - b) == 0.0 && (b - a).dot(c - b) < 0.0
}

/// Whether two closed segments have a point in common.
fn meet((a, b): (DVec2, DVec2), (c, d): (DVec2, DVec2)) -> bool {
    let side = |p: DVec2, q: DVec2, r: DVec2| (q - p).perp_dot(r - p);
    let on = |p: DVec2, q: DVec2, r: DVec2| {
        side(p, q, r) == 0.0 && r.cmpge(p.min(q)).all() && r.cmple(p.max(q)).all()
    };
    let crosses = |x: f64, y: f64| (x > 0.0 && y < 0.0) || (x < 0.0 && y > 0.0);
    (crosses(side(a, b, c), side(a, b, d)) && crosses(side(c, d, a), side(c, d, b)))
        || on(a, b, c)
        || on(a, b, d)
        || on(c, d, a)
        || on(c, d, b)
}
