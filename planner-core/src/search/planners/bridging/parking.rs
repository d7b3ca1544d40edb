//! Free places on a deck where modules are out of the way.

use super::site::CrossingSite;
use super::span::ROUNDING;
use crate::math::{DVec3, steps_of};
use crate::model::{Configuration, GroundId, ModuleId, Problem};

/// Free margin around a parked module, in shell radii.
const ROOM: f64 = 0.5;
/// Preferred distance of parked modules from a site, in shell radii, so that structures there stay clear of them.
const AWAY: f64 = 5.0;

/// Up to `count` places on a deck, in world coordinates, for a module of the mover's size. They are clear of all others and of each other; those that
/// are not in the way of the site come first, nearest to it.
///
/// Places lie in rows along the edge of the site. Where the deck is large enough, there is room for a module to pass between any two of them.
/// Complexity: the area of the deck in modules, times the number of modules.
pub(crate) fn parking(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    deck: GroundId,
    site: &CrossingSite,
    count: usize,
) -> Vec<DVec3> {
    let largest = largest_radius(problem);
    let side_by_side = problem.kind(mover).shell_radius_m + (1.0 + ROOM) * largest;
    let with_passage = side_by_side + 2.0 * largest;
    let mut places = rows(problem, configuration, mover, deck, site, with_passage);
    if places.len() < count {
        places = rows(problem, configuration, mover, deck, site, side_by_side);
    }
    places.truncate(count);
    places
}

/// Free places of a square grid, in the order of their use.
fn rows(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    deck: GroundId,
    site: &CrossingSite,
    pitch: f64,
) -> Vec<DVec3> {
    let kind = problem.kind(mover);
    let solid = problem.ground(deck);
    let z = solid.height_m() + kind.ride_height_m;
    let (out, side) = (site.level_direction(0.0), site.level_direction(std::f64::consts::FRAC_PI_2));
    let origin = site.at(0.0, z);
    // The number of steps along an axis from the origin to either end of the outline.
    let steps = |axis: DVec3| {
        let along = solid.outline.corners().map(|corner| (corner.extend(z) - origin).dot(axis) / pitch);
        let (low, high) = along.fold((0.0_f64, 0.0_f64), |(low, high), v| (low.min(v), high.max(v)));
        (low - ROUNDING).ceil().max(-MOST) as i64..=(high + ROUNDING).floor().min(MOST) as i64
    };
    let mut places: Vec<(f64, DVec3)> = Vec::new();
    for row in steps(out) {
        for column in steps(side) {
            let place = origin + (out * row as f64 + side * column as f64) * pitch;
            if solid.inset(place) >= kind.foot_radius_m - ROUNDING
                && is_clear(problem, configuration, mover, place)
            {
                let distance = site.distance(place);
                let last = if in_the_way(problem, site, place) { 1e6 - 2.0 * distance } else { 0.0 };
                places.push((distance + last, place));
            }
        }
    }
    places.sort_by_key(|(distance, _)| steps_of(*distance));
    places.into_iter().map(|(_, place)| place).collect()
}

fn largest_radius(problem: &Problem) -> f64 {
    problem.kinds.iter().map(|k| k.shell_radius_m).fold(0.0, f64::max)
}

/// Most rows to either side.
const MOST: f64 = 40.0;

/// Whether a module is in the way of structures at a site.
pub(crate) fn in_the_way(problem: &Problem, site: &CrossingSite, place: DVec3) -> bool {
    site.distance(place) < AWAY * largest_radius(problem) - ROUNDING
}

fn is_clear(problem: &Problem, configuration: &Configuration, mover: ModuleId, place: DVec3) -> bool {
    let kind = problem.kind(mover);
    let solids = problem.decks.iter().all(|d| d.solid.distance(place) >= kind.shell_radius_m - ROUNDING);
    solids
        && configuration.iter().filter(|(id, _)| *id != mover).all(|(id, beside)| {
            let radii = kind.shell_radius_m + problem.kind(id).shell_radius_m;
            place.distance(beside.position) >= radii + ROOM * kind.shell_radius_m - ROUNDING
        })
}
