//! Outlines: the boundaries of plane areas that simple polygons cover together.

use super::prism::{contains_in, distance_to_segment, edges_of, nearest_on};
use crate::math::DVec2;

/// Polygons nearer to each other than this, in metres, are joined.
pub const JOINED_M: f64 = 1e-6;
/// How far beyond an edge a point is taken to tell whether another polygon goes on there, in metres.
const BEYOND_M: f64 = 1.5 * JOINED_M;
/// Pieces of edges shorter than this, in metres, are omitted, and their ends joined.
const SHORTEST_M: f64 = 4.0 * JOINED_M;

/// The boundary of a plane area: closed rings with the area on their left. Holes are rings that run clockwise.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// The corners of each ring, in metres.
    pub rings: Vec<Vec<DVec2>>,
}

impl Outline {
    /// The area that simple counter-clockwise polygons cover together; gaps of up to [`JOINED_M`] between them are closed.
    ///
    /// Complexity: quadratic in all corners.
    #[must_use]
    pub fn of_all(polygons: &[&[DVec2]]) -> Self {
        if let [only] = polygons {
            return Self { rings: vec![only.to_vec()] };
        }
        let mut pieces: Vec<(DVec2, DVec2)> = Vec::new();
        for (own, polygon) in polygons.iter().enumerate() {
            for (a, b) in edges_of(polygon) {
                pieces.extend(bounding_pieces(polygons, own, a, b));
            }
        }
        Self { rings: rings(pieces) }
    }

    /// The edges of all rings as pairs of corners.
    pub fn edges(&self) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
        self.rings.iter().flat_map(|ring| edges_of(ring))
    }

    /// The corners of all rings.
    pub fn corners(&self) -> impl Iterator<Item = DVec2> + '_ {
        self.rings.iter().flatten().copied()
    }

    /// Least and greatest coordinates of its corners.
    #[must_use]
    pub fn extent(&self) -> [DVec2; 2] {
        let least = self.corners().fold(DVec2::INFINITY, DVec2::min);
        [least, self.corners().fold(DVec2::NEG_INFINITY, DVec2::max)]
    }

    /// Whether all of the area is certainly farther away from a point than so many metres.
    #[must_use]
    pub fn is_far_from(&self, p: DVec2, metres: f64) -> bool {
        let [low, high] =
            self.corners().fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[low, high], corner| {
                [low.min(corner), high.max(corner)]
            });
        (low - p).max(p - high).max(DVec2::ZERO).length() > metres
    }

    /// Whether the area is convex.
    #[must_use]
    pub fn is_convex(&self) -> bool {
        let turns_left = |ring: &Vec<DVec2>| {
            let count = ring.len();
            let corner = |i: usize| ring[i % count];
            (0..count).all(|i| (corner(i + 1) - corner(i)).perp_dot(corner(i + 2) - corner(i + 1)) >= 0.0)
        };
        self.rings.len() == 1 && self.rings.iter().all(turns_left)
    }

    /// Whether a point lies inside (even-odd rule; on the boundary either answer is possible).
    #[must_use]
    pub fn contains(&self, p: DVec2) -> bool {
        contains_in(self.edges(), p)
    }

    /// Signed distance from a point to the boundary, in metres, positive inside. Complexity: linear in the corners.
    #[must_use]
    pub fn inset(&self, p: DVec2) -> f64 {
        let distance = nearest_on(self.edges(), p).distance(p);
        if self.contains(p) { distance } else { -distance }
    }
}

/// The pieces of an edge of one polygon that bound the area of all.
fn bounding_pieces(polygons: &[&[DVec2]], own: usize, a: DVec2, b: DVec2) -> Vec<(DVec2, DVec2)> {
    let (length, along) = ((b - a).length(), (b - a).normalize());
    let out = DVec2::new(along.y, -along.x);
    let others = || polygons.iter().enumerate().filter(|(other, _)| *other != own);
    let mut cuts = vec![0.0, length];
    for (c, d) in others().flat_map(|(_, other)| edges_of(other)) {
        cuts.push((c - a).dot(along));
        let rate = out.dot(d - c);
        if rate != 0.0 {
            let meeting = c + (d - c) * (out.dot(a - c) / rate);
            cuts.push((meeting - a).dot(along));
        }
    }
    cuts.retain(|t| (0.0..=length).contains(t));
    cuts.sort_by(f64::total_cmp);
    let bounds = |t: f64| {
        let (on, beyond) = (a + along * t, a + along * t + out * BEYOND_M);
        others().all(|(index, other)| {
            let goes_on = is_within(other, beyond);
            // Of edges that two polygons share, the one listed first counts.
            let is_first = index > own || !is_on_boundary(other, on);
            !goes_on && (is_first || !runs_along(other, on, along))
        })
    };
    let mut found: Vec<(DVec2, DVec2)> = Vec::new();
    let mut from: Option<f64> = None;
    for pair in cuts.windows(2).filter(|pair| pair[1] > pair[0]) {
        match (bounds(0.5 * (pair[0] + pair[1])), from) {
            (true, None) => from = Some(pair[0]),
            (false, Some(begun)) => {
                found.push((a + along * begun, a + along * pair[0]));
                from = None;
            }
            _ => {}
        }
    }
    found.extend(from.map(|begun| (a + along * begun, b)));
    found.retain(|(from, to)| from.distance(*to) >= SHORTEST_M);
    found
}

/// Whether a point is inside a polygon, or nearer to it than [`JOINED_M`].
fn is_within(polygon: &[DVec2], p: DVec2) -> bool {
    contains_in(edges_of(polygon), p) || nearest_on(edges_of(polygon), p).distance(p) <= JOINED_M
}

fn is_on_boundary(polygon: &[DVec2], p: DVec2) -> bool {
    nearest_on(edges_of(polygon), p).distance(p) <= JOINED_M
}

/// Whether the edge of a polygon that passes through a point runs in this direction.
fn runs_along(polygon: &[DVec2], p: DVec2, along: DVec2) -> bool {
    edges_of(polygon).any(|(a, b)| distance_to_segment(p, a, b) <= JOINED_M && (b - a).dot(along) > 0.0)
}

/// Joins pieces of edges, end to beginning, to closed rings.
fn rings(mut pieces: Vec<(DVec2, DVec2)>) -> Vec<Vec<DVec2>> {
    let mut found = Vec::new();
    while let Some((first, mut end)) = pieces.pop() {
        let mut ring = vec![first];
        while end.distance(first) > SHORTEST_M {
            let nearest = (0..pieces.len())
                .min_by(|&i, &j| pieces[i].0.distance(end).total_cmp(&pieces[j].0.distance(end)))
                .filter(|&index| pieces[index].0.distance(end) <= 2.0 * SHORTEST_M);
            let Some(index) = nearest else { break };
            let (from, to) = pieces.swap_remove(index);
            ring.push(from);
            end = to;
        }
        if ring.len() > 2 {
            found.push(without_straight_corners(ring));
        }
    }
    found
}

/// A ring without the corners at which it goes straight on.
fn without_straight_corners(mut ring: Vec<DVec2>) -> Vec<DVec2> {
    let mut index = 0;
    while index < ring.len() && ring.len() > 3 {
        let count = ring.len();
        let (a, b, c) = (ring[(index + count - 1) % count], ring[index], ring[(index + 1) % count]);
        if distance_to_segment(b, a, c) <= JOINED_M {
            ring.remove(index);
        } else {
            index += 1;
        }
    }
    ring
}
