//! Rehearsal: the generator moves the crew; every trip is certified before it is made.

use super::frame::Frame;
use crate::control::uninterrupted;
use crate::math::{DVec2, DVec3};
use crate::model::{Body, Configuration, Hold, Kind, ModuleId, Placement, Problem};
use crate::motion::is_sound_at_rest;
use crate::travel::{Interest, Reach, reachable};

/// Tolerance for equal distances, in metres.
const SAME_M: f64 = 1e-7;

/// The configuration so far. Standing modules count as braced, as in a search: braces can be added later. Places are asked for and told in the
/// coordinates of the task.
pub(super) struct Rehearsal {
    pub(super) problem: Problem,
    pub(super) frame: Frame,
    pub(super) now: Configuration,
    pub(super) trips: usize,
}

impl Rehearsal {
    /// Begins at the start of a scene that lies there in the world.
    pub(super) fn new(problem: Problem, frame: Frame) -> Self {
        let now = problem.start.with_holds(|_| Hold::Braced);
        Self { problem, frame, now, trips: 0 }
    }

    /// A module's centre, in metres.
    pub(super) fn at(&self, id: ModuleId) -> DVec3 {
        self.frame.back(self.now.get(id).position)
    }

    /// The kind of a module.
    pub(super) fn kind(&self, id: ModuleId) -> &Kind {
        self.problem.kind(id)
    }

    /// The centre of a module that stands in a direction from a host, in metres.
    pub(super) fn beside(&self, mover: ModuleId, host: ModuleId, way: DVec3) -> DVec3 {
        self.at(host) + way * self.kind(mover).standing_distance(self.kind(host))
    }

    /// The centre of a module that stands on a deck, in metres.
    pub(super) fn on_deck(&self, mover: ModuleId, x: f64, y: f64, top_m: f64) -> DVec3 {
        DVec3::new(x, y, top_m + self.kind(mover).ride_height_m)
    }

    /// The modules in the order of their distance from a spot on the ground.
    pub(super) fn nearest_to(&self, x: f64, y: f64) -> Vec<ModuleId> {
        let away = |id: ModuleId| self.at(id).truncate().distance(DVec2::new(x, y));
        let mut order: Vec<ModuleId> = self.problem.module_ids().collect();
        order.sort_by(|&a, &b| away(a).total_cmp(&away(b)));
        order
    }

    /// The trips so far, if they reached the goal of the scene.
    pub(super) fn trips_to_goal(&self) -> Option<usize> {
        self.problem.goal_is_met(&self.now).then_some(self.trips)
    }

    /// The trips that a module can make, each to a rest that is sound.
    pub(super) fn trips_of(&self, mover: ModuleId, places: Vec<DVec3>) -> Vec<Reach> {
        if self.now.is_stood_on(mover) {
            return Vec::new();
        }
        let places: Vec<DVec3> = places.into_iter().map(|place| self.frame.at(place)).collect();
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
        let there = |p: &Placement| p.host == host && self.frame.back(p.position).distance(place) < SAME_M;
        if there(self.now.get(mover)) {
            return true;
        }
        let ends = self.trips_of(mover, vec![place]);
        let end = ends.into_iter().find(|end| there(&end.place));
        end.is_some_and(|end| self.make(mover, &end))
    }

    /// The same over an intermediate place, by two trips, where one trip is not enough.
    pub(super) fn go_past(&mut self, mover: ModuleId, past: (Body, DVec3), host: Body, place: DVec3) -> bool {
        self.go(mover, host, place) || (self.go(mover, past.0, past.1) && self.go(mover, host, place))
    }
}
