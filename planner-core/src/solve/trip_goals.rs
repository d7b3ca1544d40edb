//! Trip goals in order: which module goes where, but not how. Each trip is planned anew from the configuration at its start.

use crate::control::{Budget, Stopped, memory};
use crate::math::{DVec3, tolerance};
use crate::model::{Body, Configuration, ModuleId, Placement, Problem, SlotPlace};
use crate::search::guidance::assignment::Targets;
use crate::search::guidance::goal::is_met_apart_from_holds;
use crate::search::trips::sizes;
use crate::search::trips::successors::{after_trip, braced};
use crate::search::trips::trip_goal::{Done, TripGoal, trip_time_s};
use crate::search::trips::trip_sequence::TripSequence;
use crate::travel::Trip;
use indexmap::IndexMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Trip goals in the order in which they are to be reached.
///
/// A goal that cannot be reached yet, because its host is not in place or a module is in the way, is deferred until others are reached. The goals of
/// one module keep their order.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TripGoals {
    pub(crate) goals: Vec<TripGoal>,
}

/// A trip goal closer than this counts as reached, in metres.
const THERE_M: f64 = 1e-8;
/// Most trips stored.
const MOST_KNOWN: usize = 200_000;

impl TripGoals {
    /// The goals of trips from the start; `None` if the trips cannot be made.
    pub(crate) fn of(problem: &Problem, trips: &[Trip]) -> Option<Self> {
        let mut now = braced(problem, &problem.start);
        let mut goals = Vec::with_capacity(trips.len());
        for trip in trips {
            now = after_trip(problem, &now, trip)?;
            goals.push(TripGoal::of(trip, &now));
        }
        Some(Self { goals })
    }

    /// Every module directly to its slot, the nearest first; `None` if the slots cannot all be filled or have no fixed places.
    ///
    /// The assignment minimises the sum of the times of straight ways, each raised to `power`: 1 minimises the total time, larger exponents reduce
    /// the longest times.
    pub(crate) fn to_slots(problem: &Problem, power: i32) -> Option<Self> {
        let targets = Targets::new(problem);
        let filling = targets.assign_by_power(problem, &problem.start, power)?;
        let mut places: Vec<(ModuleId, DVec3)> = Vec::with_capacity(filling.len());
        let mut goals: Vec<(f64, TripGoal)> = Vec::new();
        for (slot, &module) in problem.goal.slots.iter().zip(&filling) {
            let below = match slot.place {
                SlotPlace::OnGround(..) => None,
                SlotPlace::OnSlot(below, _) => Some(*places.get(below.index())?),
            };
            let host = match slot.place {
                SlotPlace::OnGround(deck, _) => Body::Ground(deck),
                SlotPlace::OnSlot(..) => Body::Module(below?.0),
            };
            let nominal = problem.slot_place(slot, module, below)?;
            let start = problem.start.get(module);
            let way_m = start.position.distance(nominal);
            // A module that is in its slot already may be off by the slot tolerance; those above it go by its true place.
            let is_there = start.host == host && way_m <= tolerance::SLOT_M;
            let position = if is_there { start.position } else { nominal };
            places.push((module, position));
            if !is_there {
                goals.push((way_m, TripGoal::Go { module, host, position }));
            }
        }
        goals.sort_by(|a, b| a.0.total_cmp(&b.0));
        Some(Self { goals: goals.into_iter().map(|(_, goal)| goal).collect() })
    }

    /// The same with two modules interchanged.
    pub(crate) fn exchanged(&self, a: ModuleId, b: ModuleId) -> Self {
        let name = |m: ModuleId| match m {
            m if m == a => b,
            m if m == b => a,
            m => m,
        };
        Self { goals: self.goals.iter().map(|goal| goal.renamed(name)).collect() }
    }

    /// The quickest sound trips that reach all trip goals and lead to the goal; `None` if some trip goal cannot be reached.
    ///
    /// Complexity: one search for trips of one module for each goal and each deferral.
    pub(crate) fn reach(
        &self,
        problem: &Problem,
        known: &KnownTrips,
        budget: &Budget<'_>,
    ) -> Result<Option<(Self, TripSequence)>, Stopped> {
        let mut left = self.goals.clone();
        let mut sequence = TripSequence::new(problem, &problem.start);
        let mut goals = Vec::with_capacity(left.len());
        while !left.is_empty() {
            budget.go_on()?;
            let now = sequence.now();
            let mut next = None;
            for (at, goal) in left.iter().enumerate() {
                if left[..at].iter().any(|earlier| earlier.module() == goal.module()) {
                    continue;
                }
                if goal.is_done(now) {
                    next = Some((at, None));
                    break;
                }
                if !goal.may_be_done(problem, now) {
                    continue;
                }
                if let Some(done) = known.run(problem, now, goal, budget)? {
                    next = Some((at, Some(done)));
                    break;
                }
            }
            let Some((at, done)) = next else { return Ok(None) };
            let goal = left.remove(at);
            if let Some(done) = done {
                goals.push(goal);
                sequence.push(done.trip, done.after);
            }
        }
        let met = is_met_apart_from_holds(problem, sequence.now());
        Ok(met.then_some((Self { goals }, sequence)))
    }
}

impl TripGoal {
    /// The module of the goal.
    pub(crate) const fn module(&self) -> ModuleId {
        match *self {
            Self::Go { module, .. } | Self::Carry { module, .. } => module,
        }
    }

    /// The same with every module, mover and host, renamed.
    pub(crate) fn renamed(&self, name: impl Fn(ModuleId) -> ModuleId) -> Self {
        match *self {
            Self::Go { module, host, position } => {
                let host = if let Body::Module(host) = host { Body::Module(name(host)) } else { host };
                Self::Go { module: name(module), host, position }
            }
            Self::Carry { module, ref moves } => Self::Carry { module: name(module), moves: moves.clone() },
        }
    }

    /// Whether the module is there already.
    fn is_done(&self, now: &Configuration) -> bool {
        match *self {
            Self::Go { module, host, position } => {
                let place = now.get(module);
                place.host == host && place.position.distance(position) < THERE_M
            }
            Self::Carry { .. } => false,
        }
    }

    /// Whether the host is in place, and the module is bare. Fast, and a necessary condition only.
    fn may_be_done(&self, problem: &Problem, now: &Configuration) -> bool {
        match *self {
            Self::Go { module, host, position } => {
                let is_at = |host: ModuleId| {
                    let apart = problem.kind(module).standing_distance(problem.kind(host));
                    (now.get(host).position.distance(position) - apart).abs() < THERE_M
                };
                !now.is_stood_on(module) && host.module().is_none_or(is_at)
            }
            Self::Carry { .. } => true,
        }
    }
}

/// Stored trips by configuration and destination: similar candidates ask for the same trips again and again.
///
/// A trip depends on nothing else, in particular not on the headings of other modules, so the order of requests does not matter.
#[derive(Debug)]
pub(crate) struct KnownTrips {
    arrivals: Mutex<Arrivals>,
    /// Limit on their memory, in bytes.
    most: u64,
}

#[derive(Debug, Default)]
struct Arrivals {
    by_key: IndexMap<Vec<u64>, Option<Arrival>>,
    /// Heap memory owned by keys and trips, in bytes.
    owned: usize,
}

impl Arrivals {
    fn bytes(&self) -> u64 {
        (self.by_key.len() * memory::entry::<(Vec<u64>, Option<Arrival>)>() + self.owned) as u64
    }
}

/// A trip and where it ends.
#[derive(Clone, Debug)]
struct Arrival {
    trip: Trip,
    place: Placement,
    time_s: f64,
}

impl KnownTrips {
    /// An empty store that grows little beyond so many bytes.
    pub(crate) fn within(bytes: u64) -> Self {
        Self { arrivals: Mutex::default(), most: bytes }
    }

    /// Stores trips from the start as they are: goals that they reach are then reached by them.
    pub(crate) fn remember(&self, problem: &Problem, trips: &[Trip]) {
        let mut now = braced(problem, &problem.start);
        for trip in trips {
            let Some(after) = after_trip(problem, &now, trip) else { return };
            if let TripGoal::Go { module, host, position } = TripGoal::of(trip, &after) {
                let time_s = trip_time_s(problem, &now, trip);
                let arrival = Arrival { trip: trip.clone(), place: *after.get(module), time_s };
                self.keep(key(&now, module, host, position), Some(arrival));
            }
            now = after;
        }
    }

    fn run(
        &self,
        problem: &Problem,
        now: &Configuration,
        goal: &TripGoal,
        budget: &Budget<'_>,
    ) -> Result<Option<Done>, Stopped> {
        let &TripGoal::Go { module, host, position } = goal else { return goal.run(problem, now, budget) };
        let key = key(now, module, host, position);
        let arrival = self.locked().by_key.get(&key).cloned();
        if let Some(arrival) = arrival {
            return Ok(arrival.map(|Arrival { trip, place, time_s }| {
                let mut after = now.clone();
                *after.get_mut(module) = place;
                Done { trip, after, time_s }
            }));
        }
        let done = goal.run(problem, now, budget)?;
        let arrival = done.as_ref().map(|done| Arrival {
            trip: done.trip.clone(),
            place: *done.after.get(module),
            time_s: done.time_s,
        });
        self.keep(key, arrival);
        Ok(done)
    }

    fn keep(&self, key: Vec<u64>, arrival: Option<Arrival>) {
        let mut known = self.locked();
        if known.by_key.len() < MOST_KNOWN && known.bytes() < self.most {
            known.owned += memory::list::<u64>(key.len())
                + arrival.as_ref().map_or(0, |arrival| sizes::of_trip(&arrival.trip));
            known.by_key.insert(key, arrival);
        }
    }

    fn locked(&self) -> MutexGuard<'_, Arrivals> {
        self.arrivals.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// All that a trip depends on, bit by bit: the configuration, the mover's heading, and the destination.
fn key(now: &Configuration, module: ModuleId, host: Body, position: DVec3) -> Vec<u64> {
    let mut key = Vec::with_capacity(4 * now.len() + 9);
    let mut note = |host: Body, position: DVec3| {
        key.push(match host {
            Body::Ground(deck) => deck.index() as u64,
            Body::Stone(stone) => 2 << 32 | stone.index() as u64,
            Body::Module(module) => 1 << 32 | module.index() as u64,
        });
        key.extend(position.to_array().map(f64::to_bits));
    };
    for (_, place) in now.iter() {
        note(place.host, place.position);
    }
    note(host, position);
    key.push(module.index() as u64);
    key.extend(now.get(module).orientation.to_array().map(f64::to_bits));
    key
}
