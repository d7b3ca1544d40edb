//! The trips of one module, as data.

use super::Waypoint;
use crate::math::DVec3;
use crate::model::{Configuration, ModuleId, Placement};
use crate::motion::Refused;

/// One end of a trip.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// The placement of the module at the end.
    pub place: Placement,
    /// Duration of the trip by the model's rates, in seconds.
    pub time_s: f64,
    /// The waypoints, without the start.
    pub waypoints: Vec<Waypoint>,
}

impl Reach {
    /// A configuration with a module at this end, holds unchanged.
    pub(crate) fn after(&self, before: &Configuration, module: ModuleId) -> Configuration {
        let mut after = before.clone();
        *after.get_mut(module) = Placement { hold: before.get(module).hold, ..self.place };
        after
    }
}

/// That there is no trip to some places.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct NoTrip {
    /// The places that the mover has got to.
    pub reached: Vec<DVec3>,
    /// Whether it would get farther if loads did not count.
    pub by_load: bool,
}

/// All trips of one module from its current place.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reachable {
    /// Ends of trips, the shortest duration first.
    pub ends: Vec<Reach>,
    /// Number of spots tried.
    pub spots: usize,
    /// Number of drives and hops refused because the load was not carried.
    pub refused_by_load: usize,
    /// A uniformly random one of these.
    pub(crate) refused: Refused,
    /// What was computed and what was reused.
    pub reuse: Reuse,
}

/// How much one search for trips computed, and how often it reused a result.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reuse {
    /// Number of load cases of rests that were computed.
    pub loads: u64,
    /// Number of load cases that were known already.
    pub loads_known: u64,
    /// Number of faces that were computed with all their obstacles.
    pub faces: u64,
    /// Number of faces that were known already.
    pub faces_known: u64,
}

impl Reuse {
    /// The sum of both.
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
