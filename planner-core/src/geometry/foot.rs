//! Whether a level disc on its way enters a solid from above.

use super::prism::{contains_in, distance_to_segment, edges_of};
use super::{Path, Prism};
use crate::math::{DVec2, DVec3};

/// Parts of a path shorter than this fraction of it are places.
const SHORTEST: f64 = 1e-5;
/// What is nearer to the rim of the disc than this is beside it, in metres.
const RIM_M: f64 = 1e-9;

/// Where a level disc with its centre on a path is more than `deep` metres below the top of a solid, and above its bottom, as a fraction of the path;
/// `None` where it never is.
///
/// Parts of the path on which the whole disc is above the top, below the bottom or beside the outline are clear; other parts are halved, down to a
/// hundred-thousandth of the path.
pub fn foot_enters(path: &Path, radius: f64, solid: &Prism, deep: f64) -> Option<f64> {
    let mut open = vec![(0.0, 1.0)];
    while let Some((from, to)) = open.pop() {
        let width: f64 = to - from;
        let middle = 0.5 * (from + to);
        let part = if width > 0.0 { path.part(from, to) } else { *path };
        let here = path.at(middle * path.span());
        if !may_enter(here, radius, part.reach_from_middle(), solid, deep) {
            continue;
        }
        if may_enter(here, radius - RIM_M, 0.0, solid, deep) {
            return Some(middle);
        }
        if width > SHORTEST {
            open.extend([(middle, to), (from, middle)]);
        }
    }
    // The ends are places too.
    [0.0, 1.0]
        .into_iter()
        .find(|share| may_enter(path.at(share * path.span()), radius - RIM_M, 0.0, solid, deep))
}

/// Whether a disc with its centre within `off` of a place might be in the solid.
fn may_enter(place: DVec3, radius: f64, off: f64, solid: &Prism, deep: f64) -> bool {
    let level = place.z - off + deep;
    if place.z + off <= solid.bottom + deep || level >= solid.top_range()[1] {
        return false;
    }
    let above = above_level(solid, level);
    let at = place.truncate();
    above.len() >= 3
        && (contains_in(edges_of(&above), at)
            || edges_of(&above).any(|(a, b)| distance_to_segment(at, a, b) < radius + off))
}

/// The part of the outline over which the top is higher than a level: Sutherland and Hodgman's clipping (1974).
fn above_level(solid: &Prism, level: f64) -> Vec<DVec2> {
    let height = |p: DVec2| solid.top.height_at(p) - level;
    let mut left = Vec::new();
    for (a, b) in solid.edges() {
        let (high, other) = (height(a), height(b));
        if high > 0.0 {
            left.push(a);
        }
        if (high > 0.0) != (other > 0.0) {
            left.push(a.lerp(b, high / (high - other)));
        }
    }
    left
}
