//! Places to gather at, where modules have to stand on one deck of a ground of several: its edges are no edges of the ground, and offer no rests.

use crate::geometry::Prism;
use crate::math::{DVec2, DVec3, steps_of};
use crate::model::{DeckId, Gather, GroundId, ModuleId, Problem};

/// Room between two modules that have gathered, in metres.
const ROOM_M: f64 = 0.002;
/// As many places as modules are to gather, times this: some may be taken or blocked.
const CHOICE: usize = 2;
/// The most places along one side of a deck that are looked at.
const LONGEST_ROW: usize = 64;

/// Places on the deck to gather on for each module, nearest to the crew first: a grid in which all can stand beside each other. Empty where any place
/// of the ground will do.
pub(super) fn gathering_places(problem: &Problem) -> Vec<Vec<DVec3>> {
    let points = points(problem);
    let ground = problem.goal.gather.map(|gather| problem.ground(gather.ground));
    let lifted = |m: ModuleId| {
        let stand = |at: &DVec2| ground.map(|ground| ground.stand(*at, problem.kind(m).ride_height_m));
        points.iter().filter_map(stand).collect()
    };
    problem.module_ids().map(lifted).collect()
}

/// The grid, as points of a sole's centre seen from above.
fn points(problem: &Problem) -> Vec<DVec2> {
    match problem.goal.gather {
        Some(Gather { ground, within: within @ Some(_), count }) => grid(problem, ground, within, count),
        _ => Vec::new(),
    }
}

/// Points of a grid on a ground, or within one of its decks, at which so many modules and more can stand beside each other, nearest to the crew first.
pub(crate) fn grid(problem: &Problem, ground: GroundId, within: Option<DeckId>, count: usize) -> Vec<DVec2> {
    let (within, ground) = (within.map(|deck| &problem.decks[deck.index()].solid), problem.ground(ground));
    let seen = |solid: &Prism| solid.outline.clone();
    let corners: Vec<DVec2> = within.map_or_else(|| ground.from_above().corners().collect(), seen);
    let low = corners.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let high = corners.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max);
    let widest = problem.kinds.iter().map(|kind| kind.shell_radius_m).fold(0.0, f64::max);
    let foot = problem.kinds.iter().map(|kind| kind.foot_radius_m).fold(0.0, f64::max);
    // Not more than the longest row, and at least the middle.
    let step = (2.0 * widest + ROOM_M).max((high - low).max_element() / LONGEST_ROW as f64);
    let rows = ((high - low) / step).floor().max(DVec2::ONE);
    let first = 0.5 * (low + high) - 0.5 * step * (rows - DVec2::ONE);
    let row = |n: f64| 0..n as usize;
    let grid =
        row(rows.x).flat_map(|i| row(rows.y).map(move |j| first + step * DVec2::new(i as f64, j as f64)));
    let mut places: Vec<DVec2> = grid
        .filter(|&p| {
            within.is_none_or(|solid| solid.inset(p) > 0.0) && ground.inset(ground.plane.under(p)) >= foot
        })
        .collect();
    let crew: DVec2 = problem.start.iter().map(|(_, place)| place.position.truncate()).sum();
    let middle = crew / problem.modules.len().max(1) as f64;
    places.sort_by_key(|p| steps_of(p.distance(middle)));
    places.truncate(CHOICE * count);
    places
}
