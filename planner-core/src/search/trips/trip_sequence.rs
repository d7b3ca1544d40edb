//! Trip sequences: trips one after the other, and the configurations between them.

use super::successors::{after_trip, braced};
use super::trip_goal::{TripGoal, is_sound, sound_version, trip_time_s};
use crate::control::{Budget, Stopped};
use crate::math::{DVec3, atan2, tolerance};
use crate::model::{Body, Configuration, GroundId, ModuleId, Problem};
use crate::motion::Move;
use crate::travel::{Interest, NoTrip, Reach, Trip, Waypoint, is_large, quickest_to_any, reachable};
use std::f64::consts::PI;

/// A trip ends at a requested place if its end is nearer to it than this, in metres. Rests are put exactly at such places, so they differ only by
/// rounding.
pub(crate) const AT_PLACE_M: f64 = 1e-9;

/// Sound trips one after the other, and the configurations between them.
#[derive(Clone, Debug)]
pub(crate) struct TripSequence {
    pub(crate) trips: Vec<Trip>,
    /// The configuration before each trip, and after the last; every module that can brace is braced.
    pub(crate) stops: Vec<Configuration>,
}

impl TripSequence {
    /// The empty sequence.
    pub(crate) fn new(problem: &Problem, start: &Configuration) -> Self {
        Self { trips: Vec::new(), stops: vec![braced(problem, start)] }
    }

    /// The trips from a problem's start; `None` if one of them is not sound.
    pub(crate) fn checked(
        problem: &Problem,
        trips: &[Trip],
        budget: &Budget<'_>,
    ) -> Result<Option<Self>, Stopped> {
        let mut sequence = Self::new(problem, &problem.start);
        for trip in trips {
            if !is_sound(problem, sequence.now(), trip, budget)? {
                return Ok(None);
            }
            let Some(after) = after_trip(problem, sequence.now(), trip) else { return Ok(None) };
            sequence.push(trip.clone(), after);
        }
        Ok(Some(sequence))
    }

    /// The configuration after all trips.
    pub(crate) fn now(&self) -> &Configuration {
        &self.stops[self.stops.len() - 1]
    }

    /// Appends a trip that is known to be sound.
    pub(crate) fn push(&mut self, trip: Trip, after: Configuration) {
        self.trips.push(trip);
        self.stops.push(after);
    }

    /// Time of the trips from index `from` to before `to`, in seconds.
    pub(crate) fn time_s(&self, problem: &Problem, from: usize, to: usize) -> f64 {
        (from..to).map(|index| trip_time_s(problem, &self.stops[index], &self.trips[index])).sum()
    }

    /// The goal of a trip.
    pub(crate) fn goal(&self, index: usize) -> TripGoal {
        TripGoal::of(&self.trips[index], &self.stops[index + 1])
    }

    /// Makes a trip, or another to the same end where it is not sound. `false`, with nothing done, when there is none.
    pub(crate) fn go(&mut self, finder: &TripFinder<'_, '_>, trip: Trip) -> Result<bool, Stopped> {
        let Some((trip, after)) = sound_version(finder.problem, self.now(), trip, finder.budget)? else {
            return Ok(false);
        };
        self.push(trip, after);
        Ok(true)
    }

    /// Makes several trips; `false` at the first that cannot be made.
    pub(crate) fn go_all(
        &mut self,
        finder: &TripFinder<'_, '_>,
        trips: impl IntoIterator<Item = Trip>,
    ) -> Result<bool, Stopped> {
        for trip in trips {
            if !self.go(finder, trip)? {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// Makes reversed trips, and after each the yaw, if it is sound, with which it had begun before the reversal: later, when other modules stand
    /// elsewhere, the load may not allow it. `false` at the first trip that cannot be made.
    pub(crate) fn go_all_turned(
        &mut self,
        finder: &TripFinder<'_, '_>,
        trips: impl IntoIterator<Item = (Trip, DVec3)>,
    ) -> Result<bool, Stopped> {
        for (trip, heading) in trips {
            let module = trip.module;
            if !self.go(finder, trip)? {
                return Ok(false);
            }
            let place = self.now().get(module);
            let (up, now) = (place.up(), place.heading());
            // Tracks drive and hop forwards or backwards.
            let angle = atan2(up.dot(now.cross(heading)), now.dot(heading));
            let angle_rad = angle - (angle / PI).round() * PI;
            if angle_rad.abs() > tolerance::ANGLE_RAD {
                self.go(finder, Trip::carrying(module, vec![Move::Yaw { angle_rad }]))?;
            }
        }
        Ok(true)
    }
}

/// Reverses trips from `start`: from where they lead back to `start`, each with the heading its module had there. `None` when one cannot be made.
pub(crate) fn turned_round(
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

/// Finds trips of single modules.
#[derive(Clone, Copy)]
pub(crate) struct TripFinder<'a, 'b> {
    pub(crate) problem: &'a Problem,
    pub(crate) budget: &'a Budget<'b>,
}

impl TripFinder<'_, '_> {
    /// The quickest trip of a module to one of several places on a deck, if there is one.
    pub(crate) fn trip_to_deck(
        &self,
        configuration: &Configuration,
        mover: ModuleId,
        deck: GroundId,
        places: &[DVec3],
    ) -> Result<Option<Reach>, Stopped> {
        let ends: Vec<(GroundId, DVec3)> = places.iter().map(|&place| (deck, place)).collect();
        Ok(self.trip_to_any(configuration, mover, &ends)?.ok())
    }

    /// The quickest trip of a module to one of several places on decks, or why there is none.
    pub(crate) fn trip_to_any(
        &self,
        configuration: &Configuration,
        mover: ModuleId,
        ends: &[(GroundId, DVec3)],
    ) -> Result<Result<Reach, NoTrip>, Stopped> {
        self.budget.go_on()?;
        if ends.is_empty()
            || !self.problem.modules[mover.index()].can_drive()
            || configuration.is_stood_on(mover)
        {
            return Ok(Err(NoTrip::default()));
        }
        let limit = self.problem.limits.utilisation_to_plan_for();
        if !is_large(configuration) && (self.problem.is_plain() || ends.len() > 1) {
            // All rests are few there, and found in one search.
            let places = ends.iter().map(|(_, place)| *place).collect();
            let interest = Interest { places, beacons: Vec::new() };
            let found =
                reachable(self.problem, configuration, mover, &interest, limit, self.budget.interrupt)?;
            let is_end = |end: &Reach| {
                ends.iter().any(|(deck, place)| {
                    end.place.host == Body::Ground(*deck) && place.distance(end.place.position) < AT_PLACE_M
                })
            };
            return Ok(found.ends.into_iter().find(is_end).ok_or_else(NoTrip::default));
        }
        let ends: Vec<(Body, DVec3)> = ends.iter().map(|(deck, at)| (Body::Ground(*deck), *at)).collect();
        quickest_to_any(self.problem, configuration, mover, &ends, limit, self.budget.interrupt)
    }
}

/// The modules that stand on a deck and are bare.
pub(crate) fn free_on(configuration: &Configuration, deck: GroundId) -> Vec<ModuleId> {
    let mut free: Vec<ModuleId> = configuration.standing_on(Body::Ground(deck)).collect();
    free.retain(|&m| !configuration.is_stood_on(m));
    free
}
