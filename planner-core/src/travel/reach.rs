//! Trips from the current place of one module to every rest that it can reach.

use super::crossing::crossings;
use super::reachable::{Reach, Reachable};
use super::roadmap::Roadmap;
use super::spots::{Interest, hop_spots, spots_until};
use crate::control::{Interrupt, Stopped};
use crate::math::DVec3;
use crate::model::{Body, Configuration, Hold, ModuleId, Problem};

/// Spots nearer than this to a requested place are that place, in metres: they differ only by rounding.
const AT_PLACE_M: f64 = 1e-8;

/// Trips of `mover` to every rest it can reach while the others stand with the holds they have, each instant sound with utilisations up to `limit`.
/// An infinite `limit` ignores loads.
///
/// The mover must be bare; it is taken as rolling. Complexity: Dijkstra's algorithm over the spots; one search for shortest drives for each host and
/// each place where a hop ends on it; one load certificate for each drive that is the next to be used.
///
/// # Errors
/// When interrupted; the interrupt is polled before every search for a path and every load case.
pub fn reachable(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    interest: &Interest,
    limit: f64,
    interrupt: Interrupt<'_>,
) -> Result<Reachable, Stopped> {
    let mut start = configuration.clone();
    start.get_mut(mover).hold = Hold::Rolling;
    let spots = spots_until(problem, &start, mover, interest, interrupt)?;
    let mut roadmap = Roadmap::new(problem, &start, mover, spots, limit, interrupt);
    crossings(problem, &start, mover, &interest.places)
        .into_iter()
        .for_each(|ends| roadmap.add_crossing(ends));
    roadmap.run()?;
    Ok(roadmap.into_reachable())
}

/// The quickest trip of `mover` to one place on one host, if there is one: what [`reachable()`] with this interest returns for it, but faster. The search
/// ends there, and first leaves out places that touch walls, edges or shells: a trip that would be quicker by a hop at one of them is found only where
/// there is no other.
///
/// # Errors
/// When interrupted, see [`reachable()`].
pub fn quickest_to(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    (host, position): (Body, DVec3),
    limit: f64,
    interrupt: Interrupt<'_>,
) -> Result<Option<Reach>, Stopped> {
    let mut start = configuration.clone();
    start.get_mut(mover).hold = Hold::Rolling;
    let interest = Interest { places: vec![position], beacons: Vec::new() };
    let crossings = crossings(problem, &start, mover, &[position]);
    let is_there = |on: Body, at: DVec3| on == host && at.distance(position) < AT_PLACE_M;
    // Places from which a trip does not go on are passed only where there is no other way.
    for passing in [false, true] {
        let spots = if passing {
            spots_until(problem, &start, mover, &interest, interrupt)?
        } else {
            hop_spots(problem, &start, mover, &interest, interrupt)?
        };
        let mut roadmap = Roadmap::new(problem, &start, mover, spots, limit, interrupt);
        crossings.iter().for_each(|ends| roadmap.add_crossing(*ends));
        if !roadmap.ask_only_for(|place| is_there(place.host, place.position), passing) {
            return Ok(None);
        }
        roadmap.run()?;
        let mut ends = roadmap.into_reachable().ends.into_iter();
        let found = ends.find(|end| is_there(end.place.host, end.place.position));
        if found.is_some() {
            return Ok(found);
        }
    }
    Ok(None)
}
