//! Places at which a mover may cross from one ground to another, as pairs of places on either side of an edge.
//!
//! Over an edge the mover goes square to it. So only the point of the edge is free: offered are those nearest to the mover and to places of interest,
//! its ends, and points all along.

use super::Waypoint;
use super::clearance::CLEAR_M;
use super::site_face::memo_key;
use crate::geometry::Slope;
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
/// How far beside the point of a straight line the room is looked at, as a share of that.
const BESIDE: f64 = 0.4;

/// The places where the mover's centre is before and after each cross; both are free of overlap, and the foot is inside the outlines.
///
/// Complexity: points of all edges times bodies. What does not depend on the crew is worked out once for each size of module.
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
    let key = memo_key(problem, kind);
    let apart_m = SAME_POINT * kind.foot_radius_m;
    let mut wanted: Vec<DVec2> = places.iter().map(|place| place.truncate()).collect();
    wanted.push(start.get(mover).position.truncate());
    let mut known: Vec<(DVec2, [GroundId; 2])> = Vec::new();
    let mut found = Vec::new();
    for ground in &problem.grounds {
        let edges = ground.memo.get(&key, || {
            ground.brinks.iter().filter_map(|brink| Edge::of(problem, kind, brink)).collect::<Vec<Edge>>()
        });
        for edge in edges.iter() {
            let pair = edge.brink.grounds;
            let reversed = [pair[1], pair[0]];
            let mut offer = |at: DVec2, sides: &mut dyn FnMut() -> Option<[Waypoint; 2]>| {
                let is_known = |(other, grounds): &(DVec2, [GroundId; 2])| {
                    other.distance(at) < apart_m && (*grounds == pair || *grounds == reversed)
                };
                if !known.iter().any(is_known) {
                    known.push((at, pair));
                    let is_free = |ends: &[Waypoint; 2]| {
                        ends.iter().all(|end| clears_shells(problem, start, mover, end.position))
                    };
                    found.extend(sides().filter(is_free));
                }
            };
            for at in edge.nearest(apart_m, &wanted) {
                offer(at, &mut || edge.sides(problem, kind, at));
            }
            for (at, ends) in &edge.all_along {
                offer(*at, &mut || *ends);
            }
        }
    }
    found
}

/// An edge that a kind crosses.
struct Edge {
    brink: Brink,
    /// The ends of the piece on which it can cross.
    ends: [DVec2; 2],
    /// Points of it all along, and the places on either side of the edge, where the site leaves room there.
    all_along: Vec<(DVec2, Option<[Waypoint; 2]>)>,
}

impl Edge {
    fn of(problem: &Problem, kind: &Kind, brink: &Brink) -> Option<Self> {
        let ends = brink.crossed_by(problem, kind)?;
        let mut edge = Self { brink: *brink, ends, all_along: Vec::new() };
        let points = edge.points_all_along(SAME_POINT * kind.foot_radius_m);
        edge.all_along = points.into_iter().map(|at| (at, edge.sides(problem, kind, at))).collect();
        Some(edge)
    }

    /// Its ends and points all along, none nearer than `apart_m` to another.
    fn points_all_along(&self, apart_m: f64) -> Vec<DVec2> {
        let [from, to] = self.ends;
        let length = from.distance(to);
        if length < apart_m {
            return vec![from.midpoint(to)];
        }
        let count = ((length / (APART * apart_m)).ceil() as usize).clamp(2, MOST);
        let even = (0..=count).map(|k| k as f64 / count as f64);
        let mut shares: Vec<f64> = Vec::new();
        for share in [0.0, 1.0].into_iter().chain(even) {
            if shares.iter().all(|known| (known - share).abs() * length >= apart_m) {
                shares.push(share);
            }
        }
        shares.into_iter().map(|share| from.lerp(to, share)).collect()
    }

    /// Its points nearest to places, none nearer than `apart_m` to another.
    fn nearest(&self, apart_m: f64, wanted: &[DVec2]) -> Vec<DVec2> {
        let [from, to] = self.ends;
        let length = from.distance(to);
        let mut shares: Vec<f64> = Vec::new();
        if length >= apart_m {
            let along = (to - from) / length;
            for share in wanted.iter().map(|p| ((*p - from).dot(along) / length).clamp(0.0, 1.0)) {
                // The ends are among the points all along.
                let is_inside = share > 0.0 && share < 1.0;
                if is_inside && shares.iter().all(|known| (known - share).abs() * length >= apart_m) {
                    shares.push(share);
                }
            }
        }
        shares.into_iter().map(|share| from.lerp(to, share)).collect()
    }

    /// The places on either side where a module crosses at a point; `None` where decks or stones leave no room.
    fn sides(&self, problem: &Problem, kind: &Kind, at: DVec2) -> Option<[Waypoint; 2]> {
        let [a, b] = self.brink.grounds;
        let out = self.brink.out();
        let side = |own: GroundId, other: GroundId, away: DVec2| {
            let centre = beside(problem, kind, &self.brink, (own, other), (at, away))?;
            clears_site(problem, kind, centre).then_some(Waypoint::straight(Body::Ground(own), centre))
        };
        Some([side(a, b, -out)?, side(b, a, out)?])
    }
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
    // How much room there is beyond what is needed.
    let spare_m = |off_m: f64| {
        let centre = centre(off_m);
        let shell_m = problem.distance_to_ground(other, centre) - kind.shell_radius_m;
        shell_m.min(ground.inset(centre) - foot_m + CLEAR_M)
    };
    let nearest = foot_off_m(ground, brink, out, foot_m);
    let (mut low, mut low_m) = (nearest, spare_m(nearest));
    if low_m >= 0.0 {
        return Some(centre(low));
    }
    // Beside a higher deck the shell needs more room than the foot; and the own outline may begin a little beyond the edge.
    let mut high = nearest.max(kind.shell_radius_m) + foot_m;
    let mut high_m = spare_m(high);
    if high_m < 0.0 {
        return None;
    }
    while high - low > ROUNDING_M {
        // Beside a plane the room grows evenly: then points just beside that of the straight line tell. Halving tells in any case.
        let even = low + (high - low) * low_m / (low_m - high_m);
        for next in [even - BESIDE * ROUNDING_M, even + BESIDE * ROUNDING_M, 0.5 * (low + high)] {
            if next > low && next < high {
                let next_m = spare_m(next);
                if next_m >= 0.0 {
                    (high, high_m) = (next, next_m);
                } else {
                    (low, low_m) = (next, next_m);
                }
            }
        }
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

/// Whether a shell is clear of decks and stones at a place.
fn clears_site(problem: &Problem, kind: &Kind, centre: DVec3) -> bool {
    let is_clear = |distance_m: f64| distance_m - kind.shell_radius_m >= -CLEAR_M;
    problem.stone_ids().all(|stone| is_clear(problem.distance_to_stone(stone, centre)))
        && problem.decks.iter().all(|deck| {
            is_clear(deck.solid.bounds().distance(centre)) || is_clear(deck.solid.distance(centre))
        })
}

/// Whether the mover's shell is clear of the others at a place.
fn clears_shells(problem: &Problem, start: &Configuration, mover: ModuleId, centre: DVec3) -> bool {
    let radius = problem.kind(mover).shell_radius_m;
    start.iter().filter(|(id, _)| *id != mover).all(|(id, place)| {
        place.position.distance(centre) - radius - problem.kind(id).shell_radius_m >= -CLEAR_M
    })
}
