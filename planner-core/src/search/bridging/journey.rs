//! The crew on its way: trips made so far and how it stands after them.

use crate::math::{DVec3, tolerance};
use crate::model::{Body, Configuration, DeckId, ModuleId, Problem};
use crate::motion::Move;
use crate::search::errand::sound_version;
use crate::search::successors::{after_trip, braced, trips_within};
use crate::search::{Budget, Stop};
use crate::travel::{Interest, Reach, Trip, Waypoint, reachable_unless};
use std::f64::consts::PI;

/// Trips one after the other from the start.
#[derive(Clone, Debug)]
pub(in crate::search) struct Journey {
    pub(in crate::search) trips: Vec<Trip>,
    /// How the crew stands after them, everybody braced who can be.
    pub(in crate::search) now: Configuration,
}

impl Journey {
    pub(in crate::search) fn new(problem: &Problem, start: &Configuration) -> Self {
        Self { trips: Vec::new(), now: braced(problem, start) }
    }

    /// Makes a trip, or another to the same end where it is not sound. `false`, and nothing done, when there is none.
    pub(in crate::search) fn go(&mut self, scout: &Scout<'_, '_>, trip: Trip) -> Result<bool, Stop> {
        let Some((trip, after)) = sound_version(scout.problem, &self.now, trip, scout.budget)? else {
            return Ok(false);
        };
        self.now = after;
        self.trips.push(trip);
        Ok(true)
    }

    /// Makes several; `false` at the first that cannot be made.
    pub(in crate::search) fn go_all(
        &mut self,
        scout: &Scout<'_, '_>,
        trips: impl IntoIterator<Item = Trip>,
    ) -> Result<bool, Stop> {
        for trip in trips {
            if !self.go(scout, trip)? {
                return Ok(false);
            }
        }
        Ok(true)
    }
}

impl Journey {
    /// Makes trips that were turned round, and after each the yaw, if it is sound, with which it had begun before it was turned: later, when
    /// the others stand elsewhere, the load may not allow it. `false` at the first trip that cannot be made.
    pub(in crate::search) fn go_all_turned(
        &mut self,
        scout: &Scout<'_, '_>,
        trips: impl IntoIterator<Item = (Trip, DVec3)>,
    ) -> Result<bool, Stop> {
        for (trip, heading) in trips {
            let module = trip.module;
            if !self.go(scout, trip)? {
                return Ok(false);
            }
            let place = self.now.get(module);
            let (up, now) = (place.up(), place.heading());
            // Tracks drive and hop forwards or backwards.
            let angle = up.dot(now.cross(heading)).atan2(now.dot(heading));
            let angle_rad = angle - (angle / PI).round() * PI;
            if angle_rad.abs() > tolerance::ANGLE_RAD {
                self.go(scout, Trip::carrying(module, Move::Yaw { angle_rad }))?;
            }
        }
        Ok(true)
    }
}

/// Trips from `start` turned round: from where they lead to back to `start`, each with the heading its module had there. `None` when one cannot
/// be made.
pub(in crate::search) fn turned_round(
    problem: &Problem,
    start: &Configuration,
    trips: &[Trip],
) -> Option<Vec<(Trip, DVec3)>> {
    let mut now = start.clone();
    let mut turned = Vec::with_capacity(trips.len());
    for trip in trips {
        let place = *now.get(trip.module);
        turned.push((trip.reversed(Waypoint::straight(place.host, place.position)), place.heading()));
        now = after_trip(problem, &now, trip)?;
    }
    turned.reverse();
    Some(turned)
}

/// What a search by single trips needs at every step.
#[derive(Clone, Copy)]
pub(in crate::search) struct Scout<'a, 'b> {
    pub(in crate::search) problem: &'a Problem,
    pub(in crate::search) budget: &'a Budget<'b>,
}

impl Scout<'_, '_> {
    /// The quickest trip of a module to one of several places on a deck, if there is one.
    pub(in crate::search) fn trip_to_deck(
        &self,
        configuration: &Configuration,
        mover: ModuleId,
        deck: DeckId,
        places: &[DVec3],
    ) -> Result<Option<Reach>, Stop> {
        if let Some(stop) = (self.budget.interrupt)() {
            return Err(stop);
        }
        if places.is_empty() || self.problem.modules[mover.index()].stuck || configuration.is_stood_on(mover)
        {
            return Ok(None);
        }
        let interest = Interest { places: places.to_vec(), beacons: Vec::new() };
        let limit = self.problem.limits.utilisation() - 1e-6;
        let found = trips_within(self.budget, |enough| {
            reachable_unless(self.problem, configuration, mover, &interest, limit, enough)
        })?;
        Ok(found.ends.into_iter().find(|end| {
            end.place.host == Body::Deck(deck) && places.iter().any(|p| p.distance(end.place.position) < 1e-9)
        }))
    }
}

/// The modules that stand on a deck with nothing on them.
pub(in crate::search) fn free_on(configuration: &Configuration, deck: DeckId) -> Vec<ModuleId> {
    let mut free: Vec<ModuleId> = configuration.standing_on(Body::Deck(deck)).collect();
    free.retain(|&m| !configuration.is_stood_on(m));
    free
}
