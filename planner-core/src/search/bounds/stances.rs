//! Least distance between places where modules can stand on two decks, and least number of bonds between them.

use crate::geometry::Prism;
use crate::math::{DVec2, hypot};
use crate::model::{GroundId, Problem};

/// Outlines nearer than this are taken as touching, in metres.
const TOUCHING_M: f64 = 1e-9;

/// More than the sum of the tolerances along a chain of bonds, in metres.
pub(super) const PLAY_M: f64 = 1e-4;

/// Extremes over all kinds in use.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Sizes {
    /// Least shell radius, in metres.
    pub(crate) radius_m: f64,
    /// Least foot radius, in metres.
    pub(crate) foot_m: f64,
    /// Least and greatest ride height, in metres.
    pub(crate) ride_m: [f64; 2],
    /// Least and greatest distance of a module's centre from its host's, in metres.
    pub(crate) bond_m: [f64; 2],
    /// Greatest pivot of a hop, in radians.
    pub(crate) hop_limit_rad: f64,
    /// Least duration of a hop, in seconds.
    pub(crate) hop_s: f64,
}

impl Sizes {
    pub(crate) fn new(problem: &Problem) -> Self {
        let kinds = || problem.module_ids().map(|m| problem.kind(m));
        let least =
            |value: &dyn Fn(&crate::model::Kind) -> f64| kinds().map(value).fold(f64::INFINITY, f64::min);
        let most = |value: &dyn Fn(&crate::model::Kind) -> f64| kinds().map(value).fold(0.0, f64::max);
        let (radius, ride) = (
            [least(&|k| k.shell_radius_m), most(&|k| k.shell_radius_m)],
            [least(&|k| k.ride_height_m), most(&|k| k.ride_height_m)],
        );
        Self {
            radius_m: radius[0],
            foot_m: least(&|k| k.foot_radius_m),
            ride_m: ride,
            bond_m: [radius[0] + ride[0], radius[1] + ride[1]],
            hop_limit_rad: most(&|k| k.hop_limit_rad),
            hop_s: least(&|k| k.hop_time_s),
        }
    }
}

/// A lower bound on the distance between the centres of modules that stand on two different decks, in metres.
///
/// Feet stay inside the outlines. Outlines that touch count as side by side only if a straight line separates them. Where centres on one deck are at
/// the height of the other's solid, they also keep a shell radius from its walls.
pub(crate) fn least_apart_m(problem: &Problem, sizes: &Sizes, from: GroundId, to: GroundId) -> f64 {
    let pairs =
        || problem.decks_of(from).flat_map(|a| problem.decks_of(to).map(move |b| (&a.solid, &b.solid)));
    // Between two places a straight way leaves one outline before it enters the other, unless they overlap.
    let gap =
        pairs().map(|(a, b)| outline_gap_m(a, b)).try_fold(f64::INFINITY, |least, gap| Some(least.min(gap?)));
    let feet = gap.map_or(0.0, |gap| gap + 2.0 * sizes.foot_m);
    let is_beside = |lower: &Prism, wall: &Prism| {
        let (lower, wall_m) = (lower.top_range(), wall.top_range()[0]);
        lower[1] + sizes.ride_m[1] <= wall_m && lower[0] + sizes.ride_m[0] >= wall.bottom
    };
    let beside = pairs().all(|(a, b)| is_beside(a, b)) || pairs().all(|(a, b)| is_beside(b, a));
    let level = if beside { feet.max(sizes.radius_m + sizes.foot_m) } else { feet };
    let range = |id: GroundId| {
        let ranges = problem.decks_of(id).map(|deck| deck.solid.top_range());
        ranges.fold([f64::INFINITY, f64::NEG_INFINITY], |[a, b], [c, d]| [a.min(c), b.max(d)])
    };
    let (a, b) = (range(from), range(to));
    let apart = (a[0] - b[1]).max(b[0] - a[1]);
    let rise = (apart - (sizes.ride_m[1] - sizes.ride_m[0])).max(0.0);
    // On slopes centres are aside of their soles.
    let aside = [from, to].map(|id| sizes.ride_m[1] * problem.ground(id).plane.normal.truncate().length());
    hypot((level - aside[0] - aside[1]).max(0.0), (rise - aside[0] - aside[1]).max(0.0))
}

/// The least number of bonds in a chain between a module on one deck and a module whose centre could stand on the other.
pub(crate) fn bonds_between(problem: &Problem, sizes: &Sizes, from: GroundId, to: GroundId) -> usize {
    let bonds = (least_apart_m(problem, sizes, from, to) - PLAY_M) / sizes.bond_m[1];
    (bonds.ceil() as usize).max(1)
}

/// Distance of two outlines if their interiors certainly do not meet.
fn outline_gap_m(a: &Prism, b: &Prism) -> Option<f64> {
    let nearest = |from: &Prism, to: &Prism| {
        from.outline.iter().map(|&corner| to.inset(corner)).fold(f64::NEG_INFINITY, f64::max)
    };
    // An inset is the negative distance outside the other outline. The largest inset is that of the nearest corner, or of a corner inside.
    let gap = -nearest(a, b).max(nearest(b, a));
    let apart = gap > TOUCHING_M && !a.edges().any(|(p, q)| b.edges().any(|(r, s)| cross(p, q, r, s)));
    if apart {
        return Some(gap);
    }
    (parted_by_edge_of(a, b) || parted_by_edge_of(b, a)).then_some(0.0)
}

/// Whether two segments cross, each in its interior. Where a corner lies on an edge their distance is zero anyway.
fn cross(p: DVec2, q: DVec2, r: DVec2, s: DVec2) -> bool {
    let side = |a: DVec2, b: DVec2, c: DVec2| (b - a).perp_dot(c - a);
    side(p, q, r) * side(p, q, s) < 0.0 && side(r, s, p) * side(r, s, q) < 0.0
}

/// Whether the line through some edge of `a` has all of `a` on one side and all of `b` on the other.
fn parted_by_edge_of(a: &Prism, b: &Prism) -> bool {
    a.edges().any(|(p, q)| {
        let along = (q - p).normalize_or_zero();
        let left = |corner: &DVec2| along.perp_dot(*corner - p);
        a.outline.iter().all(|c| left(c) >= -TOUCHING_M) && b.outline.iter().all(|c| left(c) <= TOUCHING_M)
    })
}
