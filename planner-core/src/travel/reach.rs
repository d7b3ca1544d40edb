//! Where one module can get to, and how.

use super::Waypoint;
use super::roadmap::Roadmap;
use super::spots::{Interest, spots};
use crate::control::{Interrupt, Stopped};
use crate::math::DVec3;
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem};
use crate::motion::Refused;

/// Spots nearer than this to a place that is asked for are that place, in metres: they differ by rounding only.
const AT_PLACE_M: f64 = 1e-8;

/// One place a trip can end at.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// Where the module stands in the end.
    pub place: Placement,
    /// Time of the trip by the model's speeds, in seconds.
    pub time_s: f64,
    /// The way, without the start.
    pub waypoints: Vec<Waypoint>,
}

/// All trips of one module from where it stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reachable {
    /// Ends of trips, nearest first.
    pub ends: Vec<Reach>,
    /// Spots that were tried.
    pub spots: usize,
    /// Drives and hops refused because the load was not carried.
    pub refused_by_load: usize,
    /// One of these, each as likely as any other.
    pub(crate) refused: Refused,
    /// What was worked out and what was known already.
    pub reuse: Reuse,
}

/// What one search for trips worked out, and how often it used it again.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reuse {
    /// Load cases of rests that were judged.
    pub loads: u64,
    /// Times that such a judgement was known already.
    pub loads_known: u64,
    /// Faces with all that is in the way there.
    pub faces: u64,
    /// Times that such a face was there already.
    pub faces_known: u64,
}

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

impl Reuse {
    /// Both together.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self {
            loads: self.loads + other.loads,
            loads_known: self.loads_known + other.loads_known,
            faces: self.faces + other.faces,
            faces_known: self.faces_known + other.faces_known,
        }
    }
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
