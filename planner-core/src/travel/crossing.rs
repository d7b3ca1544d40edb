//! Places at which a mover may cross from one ground to another, as pairs of places on either side of an edge.
//!
//! Over an edge the mover goes square to it. So only the point of the edge is free: offered are those nearest to the mover and to places of interest,
//! its ends, and points all along.

use super::Waypoint;
use super::clearance::CLEAR_M;
use crate::geometry::{Bounds, Slope};
use crate::math::{DVec2, DVec3};
use crate::model::{Body, Brink, Configuration, Ground, GroundId, Kind, ModuleId, Problem};

/// Points of an edge nearer than this are one, in radii of the foot.
const SAME_POINT: f64 = 0.25;
/// Points all along an edge are so many times farther apart.
const APART: f64 = 10.0;
/// The most points all along one edge.
const MOST: usize = 12;
/// To this the place beside a higher deck is found, in metres.
const ROUNDING_M: f64 = 1e-9;

/// The places where the mover's centre is before and after each cross; both are free of overlap, and the foot is inside the outlines.
///
/// Complexity: points of all edges times bodies.
pub(super) fn crossings(
    problem: &Problem,
    start: &Configuration,
    mover: ModuleId,
    places: &[DVec3],
) -> Vec<[Waypoint; 2]> {
    if problem.grounds.len() < 2 || start.is_stood_on(mover) {
        return Vec::new();
    }
    let kind = problem.kind(mover);
    let bounds: Vec<Bounds> = problem.decks.iter().map(|deck| deck.solid.bounds()).collect();
    let edges = problem.brinks().filter_map(|brink| brink.crossed_by(problem, kind).map(|ends| (brink, ends)));
    let mut wanted: Vec<DVec2> = places.iter().map(|place| place.truncate()).collect();
    wanted.push(start.get(mover).position.truncate());
    let mut known: Vec<(DVec2, [Body; 2])> = Vec::new();
    let mut found = Vec::new();
    for (brink, ends) in edges {
        let bodies = brink.grounds.map(Body::Ground);
        let apart_m = SAME_POINT * kind.foot_radius_m;
        for at in points(ends, apart_m, &wanted) {
            let is_known = |(other, pair): &(DVec2, [Body; 2])| {
                other.distance(at) < apart_m && (*pair == bodies || *pair == [bodies[1], bodies[0]])
            };
            if known.iter().any(is_known) {
                continue;
            }
            known.push((at, bodies));
            let sides = [-brink.out(), brink.out()];
            let side = |side: usize| {
                let centre = beside(
                    problem,
                    kind,
                    brink,
                    (brink.grounds[side], brink.grounds[1 - side]),
                    (at, sides[side]),
                )?;
                is_free(problem, start, mover, &bounds, centre).then_some(Waypoint::straight(bodies[side], centre))
            };
            found.extend(side(0).zip(side(1)).map(|(a, b)| [a, b]));
        }
    }
    found
}

/// Points of a piece of an edge at which to cross: those asked for first, then its ends and points all along. None is nearer than `apart_m` to another.
fn points([from, to]: [DVec2; 2], apart_m: f64, wanted: &[DVec2]) -> Vec<DVec2> {
    let length = from.distance(to);
    if length < apart_m {
        return vec![from.midpoint(to)];
    }
    let along = (to - from) / length;
    let asked = wanted.iter().map(|p| ((*p - from).dot(along) / length).clamp(0.0, 1.0));
    let count = ((length / (APART * apart_m)).ceil() as usize).clamp(2, MOST);
    let even = (0..=count).map(|k| k as f64 / count as f64);
    let mut shares: Vec<f64> = Vec::new();
    for share in asked.chain([0.0, 1.0]).chain(even) {
        if shares.iter().all(|known| (known - share).abs() * length >= apart_m) {
            shares.push(share);
        }
    }
    shares.into_iter().map(|share| from.lerp(to, share)).collect()
}

/// The centre of a module that stands on one ground as near to an edge as foot and shell may be; `None` where it has no room.
fn beside(
    problem: &Problem,
    kind: &Kind,
    brink: &Brink,
    (own, other): (GroundId, GroundId),
    (at, out): (DVec2, DVec2),
) -> Option<DVec3> {
    let ground = problem.ground(own);
    let foot_m = kind.foot_radius_m;
    let centre = |off_m: f64| ground.stand(at + out * off_m, kind.ride_height_m);
    let clears = |off_m: f64| {
        let centre = centre(off_m);
        problem.distance_to_ground(other, centre) >= kind.shell_radius_m
            && ground.inset(centre) >= foot_m - CLEAR_M
    };
    let nearest = foot_off_m(ground, brink, out, foot_m);
    // Beside a higher deck the shell needs more room than the foot; and the own outline may begin a little beyond the edge.
    let (mut low, mut high) = (nearest, nearest.max(kind.shell_radius_m) + foot_m);
    if clears(low) {
        high = low;
    } else if !clears(high) {
        return None;
    }
    while high - low > ROUNDING_M {
        let middle = 0.5 * (low + high);
        if clears(middle) { high = middle } else { low = middle }
    }
    Some(centre(high))
}

/// How far from an edge the sole's centre is at least, seen from above in a direction square to the edge, in metres.
fn foot_off_m(ground: &Ground, brink: &Brink, out: DVec2, foot_m: f64) -> f64 {
    // In the plane the foot is a disc, so a way seen from above is longer there.
    let Slope { normal, .. } = ground.plane;
    let lifted = |d: DVec2| d.extend(-normal.truncate().dot(d) / normal.z);
    let edge = lifted(brink.to - brink.from).normalize();
    let way = lifted(out);
    let apart = (way - edge * way.dot(edge)).length();
    foot_m / apart
}

/// Whether the mover's shell is free at a place; `bounds` are boxes around the decks.
fn is_free(
    problem: &Problem,
    start: &Configuration,
    mover: ModuleId,
    bounds: &[Bounds],
    centre: DVec3,
) -> bool {
    let radius = problem.kind(mover).shell_radius_m;
    let clear = |gap: f64| gap >= -CLEAR_M;
    start
        .iter()
        .filter(|(id, _)| *id != mover)
        .all(|(id, place)| clear(place.position.distance(centre) - radius - problem.kind(id).shell_radius_m))
        && problem.stone_ids().all(|stone| clear(problem.distance_to_stone(stone, centre) - radius))
        && problem.decks.iter().zip(bounds).all(|(deck, bounds)| {
            clear(bounds.distance(centre) - radius) || clear(deck.solid.distance(centre) - radius)
        })
}
