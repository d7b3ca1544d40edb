//! Trips from the current place of one module to every rest that it can reach.

use super::crossing::crossings;
use super::reachable::{NoTrip, Reach, Reachable};
use super::roadmap::{Passing, Roadmap};
use super::spots::{Interest, hop_spots, spots_until};
use crate::control::{Interrupt, Stopped};
use crate::math::DVec3;
use crate::model::{Body, Configuration, Hold, ModuleId, Problem};

/// Crews with more modules than this are large.
const LARGE: usize = 40;

/// Whether trips of a crew are sought in the ways for large crews. In a small crew they save little, and there are many equally quick trips: which of
/// them is found, and so the plan, would be another.
pub(crate) fn is_large(crew: &Configuration) -> bool {
    crew.len() > LARGE
}

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
/// there is no other. In a large crew the same holds of a trip that would be quicker by a climb over modules between two drives on the ground, and
/// the trip may take a quarter longer than the quickest.
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
    Ok(quickest_to_any(problem, configuration, mover, &[(host, position)], limit, interrupt)?.ok())
}

/// The same to whichever of several places is reached first, or why there is none.
///
/// # Errors
/// When interrupted, see [`reachable()`].
pub fn quickest_to_any(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    ends: &[(Body, DVec3)],
    limit: f64,
    interrupt: Interrupt<'_>,
) -> Result<Result<Reach, NoTrip>, Stopped> {
    let mut start = configuration.clone();
    start.get_mut(mover).hold = Hold::Rolling;
    let interest = Interest { places: ends.iter().map(|(_, at)| *at).collect(), beacons: Vec::new() };
    let crossings = crossings(problem, &start, mover, &interest.places);
    let is_there = |on: Body, at: DVec3| {
        ends.iter().any(|(host, position)| on == *host && at.distance(*position) < AT_PLACE_M)
    };
    // Places from which a trip does not go on are passed only where there is no other way.
    let mut none = NoTrip::default();
    for passing in Passing::ALL.into_iter().skip(usize::from(!is_large(configuration))) {
        let spots = if passing == Passing::All {
            spots_until(problem, &start, mover, &interest, interrupt)?
        } else {
            hop_spots(problem, &start, mover, &interest, interrupt)?
        };
        let mut roadmap = Roadmap::new(problem, &start, mover, spots, limit, interrupt);
        crossings.iter().for_each(|ends| roadmap.add_crossing(*ends));
        if !roadmap.ask_only_for(|place| is_there(place.host, place.position), passing) {
            return Ok(Err(none));
        }
        roadmap.run()?;
        none = roadmap.why_no_trip();
        let mut ends = roadmap.into_reachable().ends.into_iter();
        let found = ends.find(|end| is_there(end.place.host, end.place.position));
        if let Some(found) = found {
            return Ok(Ok(found));
        }
    }
    Ok(Err(none))
}
