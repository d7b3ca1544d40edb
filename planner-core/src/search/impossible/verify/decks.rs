//! Verifies proofs about decks out of reach: distances of outlines by edges instead of corners, and hanging chains by their angle.

use crate::math::{DVec2, atan2, cos, hypot};
use crate::model::{Body, Ground, GroundId, Problem, SlotPlace};
use crate::search::bounds::stances::Sizes;

/// Outlines nearer than this touch, in metres: far above rounding, far below any built dimension.
const TOUCHING_M: f64 = 1e-9;

/// Whether a module has to stand on a deck at the end.
pub(super) fn is_asked(problem: &Problem, deck: GroundId) -> bool {
    problem.goal.gather.is_some_and(|g| g.count > 0 && g.ground == deck)
        || problem
            .goal
            .slots
            .iter()
            .any(|slot| matches!(slot.place, SlotPlace::OnGround(on, _) if on == deck))
}

/// Whether all modules begin on chains from these decks, and no chain of the whole crew leads from one of them to any other.
pub(super) fn are_all_within_reach(problem: &Problem, within: &[GroundId]) -> bool {
    let grounded = problem.module_ids().all(|m| {
        problem.start.hosts_below(m).find_map(Body::ground).is_some_and(|deck| within.contains(&deck))
    });
    let sizes = Sizes::new(problem);
    let chain_m = (problem.modules.len() as f64 - 1.0) * sizes.bond_m[1];
    let solid = |deck: GroundId| problem.ground(deck);
    grounded
        && problem
            .ground_ids()
            .filter(|deck| !within.contains(deck))
            .all(|beyond| within.iter().all(|&deck| clear_of(&sizes, solid(deck), solid(beyond)) > chain_m))
}

/// A distance that centres over one deck keep from those over the other, in metres.
fn clear_of(sizes: &Sizes, a: &Ground, b: &Ground) -> f64 {
    let rise = ((a.height_m() - b.height_m()).abs() + sizes.ride_m[0] - sizes.ride_m[1]).max(0.0);
    let walled = |low: &Ground, high: &Ground| {
        let centre = [low.height_m() + sizes.ride_m[0], low.height_m() + sizes.ride_m[1]];
        centre[0] >= high.bottom && centre[1] <= high.height_m()
    };
    let wall = if walled(a, b) || walled(b, a) { sizes.radius_m + sizes.foot_m } else { 0.0 };
    let level = if winds_around_some(a, b) || winds_around_some(b, a) {
        0.0
    } else {
        let gaps = a.edges().flat_map(|ab| b.edges().map(move |cd| edge_gap(ab, cd)));
        let gap = gaps.fold(f64::INFINITY, f64::min);
        let line = |of: &Ground, other: &Ground| {
            of.edges().any(|(p, q)| {
                let normal = (q - p).perp().normalize_or_zero();
                let span = |ground: &Ground| {
                    let heights = ground.outline.corners().map(|c| normal.dot(c - p));
                    heights.fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], v| [l.min(v), h.max(v)])
                };
                span(of)[0] >= -TOUCHING_M && span(other)[1] <= TOUCHING_M
            })
        };
        if gap > TOUCHING_M || line(a, b) || line(b, a) { gap + 2.0 * sizes.foot_m } else { 0.0 }
    };
    hypot(level.max(wall), rise)
}

/// Whether the outline of one ground winds around a corner of another's: around the first of one of its rings.
fn winds_around_some(ground: &Ground, other: &Ground) -> bool {
    other.outline.rings.iter().any(|ring| winding(ground.edges(), ring[0]))
}

/// Whether closed rings of edges wind around a point.
pub(super) fn winding(edges: impl Iterator<Item = (DVec2, DVec2)>, p: DVec2) -> bool {
    let turn: f64 = edges.map(|(a, b)| atan2((a - p).perp_dot(b - p), (a - p).dot(b - p))).sum();
    turn.abs() > std::f64::consts::PI
}

/// Distance of two segments: zero if they cross, otherwise the least from an end to the other segment.
fn edge_gap((a, b): (DVec2, DVec2), (c, d): (DVec2, DVec2)) -> f64 {
    let (u, v, w) = (b - a, d - c, c - a);
    let denominator = u.perp_dot(v);
    if denominator.abs() > 0.0 {
        let (s, t) = (w.perp_dot(v) / denominator, w.perp_dot(u) / denominator);
        if (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t) {
            return 0.0;
        }
    }
    let to = |p: DVec2, a: DVec2, b: DVec2| {
        let along = b - a;
        (p - a - along * ((p - a).dot(along) / along.length_squared()).clamp(0.0, 1.0)).length()
    };
    to(a, c, d).min(to(b, c, d)).min(to(c, a, b)).min(to(d, a, b))
}

/// Whether the last module on every other deck is left behind if all are to gather.
///
/// The inverse of the finder's question: if the last one could hop, how low would a shell have to hang, and would the first bond of its chain then
/// reach out far enough to clear the deck's side?
pub(super) fn last_is_left(problem: &Problem, deck: GroundId) -> bool {
    let sizes = Sizes::new(problem);
    let crew = problem.modules.len();
    let asked = problem.goal.gather.is_some_and(|g| g.ground == deck && g.count == crew);
    let elsewhere = problem
        .module_ids()
        .any(|m| problem.start.hosts_below(m).find_map(Body::ground).is_some_and(|ground| ground != deck));
    let solid = problem.ground(deck);
    let bond = sizes.bond_m[1];
    let out_of_reach = |from: GroundId| {
        // Steepest direction down from the foot of the last one to the shell it hops onto, by the pivot.
        let pivot_rise =
            sizes.bond_m.map(|b| -b * cos(sizes.hop_limit_rad)).into_iter().fold(f64::NEG_INFINITY, f64::max);
        let shell = problem.ground(from).height_m() + sizes.ride_m[1] + pivot_rise;
        let must_drop = solid.height_m() + sizes.ride_m[0] - shell;
        let hanging = crew.saturating_sub(2);
        if hanging == 0 {
            return must_drop > 0.0;
        }
        let first_drop = must_drop - (hanging - 1) as f64 * bond;
        if first_drop > bond {
            return true; // longer than any chain
        }
        if first_drop <= sizes.ride_m[1] || solid.height_m() + sizes.ride_m[0] - bond < solid.bottom {
            return false; // the first one is above the deck's top, or may hang under it
        }
        (bond * bond - first_drop * first_drop).sqrt() < sizes.radius_m + sizes.foot_m
    };
    asked && elsewhere && problem.ground_ids().filter(|other| *other != deck).all(out_of_reach)
}
