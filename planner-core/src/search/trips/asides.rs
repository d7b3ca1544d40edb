//! Places beside what is in the way, for a module whose passengers cannot get off: the party has to step aside, and to go round, as a whole.

use crate::math::{DVec2, DVec3, atan2, perpendicular_part, sin_cos, steps_of};
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::search::guidance::assignment::Targets;
use std::f64::consts::TAU;

/// Room that is left beside an obstacle, in metres.
const ROOM_M: f64 = 0.002;
/// Directions from an obstacle in which places are offered; the first is square to the way to it.
const DIRECTIONS: usize = 8;
/// Most places.
const MOST: usize = 24;

/// Places on the ground that a module with passengers who cannot get off stands on, nearest first: beside every module, every place of the goal, and
/// every corner of a wall. Whether it can stand and drive there is not asked. Empty for others.
pub(super) fn asides(
    problem: &Problem,
    targets: &Targets,
    crew: &Configuration,
    mover: ModuleId,
) -> Vec<DVec3> {
    let place = crew.get(mover);
    let group = crew.carried_with(mover);
    let stays_on = |rider: &ModuleId| *rider != mover && !problem.modules[rider.index()].can_drive();
    let Some(ground) = place.host.ground().filter(|_| group.iter().any(stays_on)) else { return Vec::new() };
    let (solid, up) = (problem.ground(ground), place.up());
    let reach = |id: &ModuleId| {
        let out = perpendicular_part(crew.get(*id).position - place.position, up).length();
        out + problem.kind(*id).shell_radius_m
    };
    let own_m = group.iter().map(reach).fold(0.0, f64::max) + ROOM_M;
    let ride_m = problem.kind(mover).ride_height_m;
    let mut places: Vec<DVec3> = Vec::new();
    let mut offer = |at: DVec2| {
        let to = solid.stand(at, ride_m);
        if solid.inset(to) >= problem.kind(mover).foot_radius_m {
            places.push(to);
        }
    };
    let others = crew.iter().filter(|(id, place)| !group.contains(id) && place.host == Body::Ground(ground));
    let shells = others.map(|(id, place)| (place.position, problem.kind(id).shell_radius_m));
    let goal = targets.all_places().map(|at| (at, own_m));
    for (obstacle, radius_m) in shells.chain(goal) {
        let to = (obstacle - place.position).truncate();
        let square = atan2(to.x, -to.y);
        for n in 0..DIRECTIONS {
            let (sin, cos) = sin_cos(square + TAU * n as f64 / DIRECTIONS as f64);
            offer(obstacle.truncate() + DVec2::new(cos, sin) * (radius_m + own_m));
        }
    }
    for deck in problem.decks_off(Some(ground)) {
        let outline = &deck.solid.outline;
        let middle = outline.iter().copied().sum::<DVec2>() / outline.len().max(1) as f64;
        for corner in outline {
            // Far enough from both walls of a square corner.
            let out = (*corner - middle).normalize_or_zero() * own_m * std::f64::consts::SQRT_2;
            offer(*corner + out);
        }
    }
    places.sort_by_key(|at| steps_of(at.distance(place.position)));
    places.truncate(MOST);
    places
}
