//! The crew on its way: trips made so far and how it stands after them.

use crate::math::DVec3;
use crate::model::{Body, Configuration, DeckId, ModuleId, Problem};
use crate::search::successors::{after_trip, braced};
use crate::search::{Budget, Stop};
use crate::travel::{Interest, Reach, Trip, reachable};

/// Trips one after the other from the start.
#[derive(Clone, Debug)]
pub(super) struct Journey {
    pub(super) trips: Vec<Trip>,
    /// How the crew stands after them, everybody braced who can be.
    pub(super) now: Configuration,
}

impl Journey {
    pub(super) fn new(problem: &Problem, start: &Configuration) -> Self {
        Self { trips: Vec::new(), now: braced(problem, start) }
    }

    /// Makes a trip. `false`, and nothing done, when it cannot be begun.
    pub(super) fn go(&mut self, problem: &Problem, trip: Trip) -> bool {
        let Some(after) = after_trip(problem, &self.now, &trip) else { return false };
        self.now = after;
        self.trips.push(trip);
        true
    }
}

/// What a search by single trips needs at every step.
#[derive(Clone, Copy)]
pub(super) struct Scout<'a, 'b> {
    pub(super) problem: &'a Problem,
    pub(super) budget: &'a Budget<'b>,
}

impl Scout<'_, '_> {
    /// The quickest trip of a module to one of several places on a deck, if there is one.
    pub(super) fn trip_to_deck(
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
        let found = reachable(self.problem, configuration, mover, &interest, limit);
        Ok(found.ends.into_iter().find(|end| {
            end.place.host == Body::Deck(deck) && places.iter().any(|p| p.distance(end.place.position) < 1e-9)
        }))
    }
}

/// The modules that stand on a deck with nothing on them.
pub(super) fn free_on(configuration: &Configuration, deck: DeckId) -> Vec<ModuleId> {
    let mut free: Vec<ModuleId> = configuration.standing_on(Body::Deck(deck)).collect();
    free.retain(|&m| !configuration.is_stood_on(m));
    free
}
