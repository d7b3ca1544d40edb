//! Rehearsal: the generator moves the crew; every trip is certified before it is made.

use crate::control::uninterrupted;
use crate::math::DVec3;
use crate::model::{Body, Configuration, Hold, ModuleId, Problem};
use crate::motion::is_sound_at_rest;
use crate::travel::{Interest, Reach, reachable};

/// Tolerance for equal distances, in metres.
const SAME_M: f64 = 1e-7;

/// The configuration so far. Standing modules count as braced, as in a search: braces can be added later.
pub(super) struct Rehearsal {
    pub(super) problem: Problem,
    pub(super) now: Configuration,
    pub(super) trips: usize,
}

impl Rehearsal {
    /// Begins at the start of a scene.
    pub(super) fn new(problem: Problem) -> Self {
        let now = problem.start.with_holds(|_| Hold::Braced);
        Self { problem, now, trips: 0 }
    }

    /// Distance of the centres of a module and its host, in metres.
    pub(super) fn bond_m(&self) -> f64 {
        self.problem.kinds.first().map_or(0.0, |kind| kind.standing_distance(kind))
    }

    /// A module's centre in the world frame, in metres.
    pub(super) fn at(&self, id: ModuleId) -> DVec3 {
        self.now.get(id).position
    }

    /// The trips that a module can make, each to a rest that is sound.
    pub(super) fn trips_of(&self, mover: ModuleId, places: Vec<DVec3>) -> Vec<Reach> {
        if self.now.is_stood_on(mover) {
            return Vec::new();
        }
        let beacons = places.clone();
        let (limit, interest) = (self.problem.limits.utilisation_to_plan_for(), Interest { places, beacons });
        uninterrupted(|interrupt| reachable(&self.problem, &self.now, mover, &interest, limit, interrupt))
            .ends
    }

    /// Makes a trip if the crew is sound after it.
    pub(super) fn make(&mut self, mover: ModuleId, end: &Reach) -> bool {
        let mut after = self.now.clone();
        *after.get_mut(mover) = end.place;
        after.get_mut(mover).hold = Hold::Braced;
        let sound = is_sound_at_rest(&self.problem, &after);
        if sound {
            self.now = after;
            self.trips += 1;
        }
        sound
    }

    /// Sends a module to a place on a host; returns whether it got there.
    pub(super) fn go(&mut self, mover: ModuleId, host: Body, place: DVec3) -> bool {
        let here = self.now.get(mover);
        if here.host == host && here.position.distance(place) < SAME_M {
            return true;
        }
        let ends = self.trips_of(mover, vec![place]);
        let there = |e: &&Reach| e.place.host == host && e.place.position.distance(place) < SAME_M;
        ends.iter().find(there).is_some_and(|end| self.make(mover, end))
    }

    /// The same over an intermediate place, by two trips, where one trip is not enough.
    pub(super) fn go_past(&mut self, mover: ModuleId, past: (Body, DVec3), host: Body, place: DVec3) -> bool {
        self.go(mover, host, place) || (self.go(mover, past.0, past.1) && self.go(mover, host, place))
    }
}
