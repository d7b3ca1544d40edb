//! Where one module can get to, and how.

use super::reachable::{Reach, Reachable};
use super::roadmap::Roadmap;
use super::spots::{Interest, spots};
use crate::control::{Interrupt, Stopped};
use crate::math::DVec3;
use crate::model::{Body, Configuration, Hold, ModuleId, Problem};

/// Spots nearer than this to a place that is asked for are that place, in metres: they differ by rounding only.
const AT_PLACE_M: f64 = 1e-8;

/// Trips of `mover` to every rest it can reach while the others stand with the holds they have, each instant sound with
/// utilisations up to `limit`. An infinite `limit` leaves loads aside: trips are then sound but for them.
///
/// The mover must stand with nothing on it; it is taken as rolling. Complexity: Dijkstra over the spots; one search for shortest drives
/// for each host and each place where a hop comes down on it, one load certificate for each drive that is the next to be used.
///
/// # Errors
/// When told to stop, which is asked before every way that is looked for and every load that is worked out.
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
    let spots = spots(problem, &start, mover, interest);
    let mut roadmap = Roadmap::new(problem, &start, mover, spots, limit, interrupt);
    roadmap.run()?;
    Ok(roadmap.into_reachable())
}

/// The quickest trip of `mover` to one place on one host, if there is one: what [`reachable`] with this interest has for it, found sooner,
/// because the search ends there.
///
/// # Errors
/// When told to stop, see [`reachable`].
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
    let spots = spots(problem, &start, mover, &Interest { places: vec![position], beacons: Vec::new() });
    let mut roadmap = Roadmap::new(problem, &start, mover, spots, limit, interrupt);
    let is_there = |on: Body, at: DVec3| on == host && at.distance(position) < AT_PLACE_M;
    if !roadmap.ask_only_for(|place| is_there(place.host, place.position)) {
        return Ok(None);
    }
    roadmap.run()?;
    let mut ends = roadmap.into_reachable().ends.into_iter();
    Ok(ends.find(|end| is_there(end.place.host, end.place.position)))
}
