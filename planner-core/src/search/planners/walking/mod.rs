//! A formed machine walks to where the goal wants its shape.
//!
//! The machine and its legs are found from the shape ([`machine`]). Best-first search over the places where its hub sits ([`places`]): from each, strides
//! ([`stride`]) whose ends roll on level decks and whose foot comes down on one ([`footholds`]), those first that bear best by an estimate ([`stance`]).
//! When the turn of a place comes, its strides are looked at for bodies in the way and for their load, and one is made: while the hub sits, each leg goes
//! by itself to where the stride needs it ([`legs`]). At the goal the legs take their places in the shape that it asks for. A scattered crew forms a machine
//! first, and is taken apart where it arrives ([`mission`]).

mod footholds;
mod legs;
mod machine;
mod mission;
mod places;
mod reason;
mod stance;
mod stride;
mod tops;

use super::super::outcome::status_of;
use crate::control::Stopped;
use crate::math::{DVec3, LeastFirst};
use crate::model::{GroundId, ModuleId, Problem};
use crate::motion::Stretch;
use crate::plan::Status;
use crate::search::planner::Task;
use crate::search::trips::successors::after_trip;
use crate::search::trips::trip_goal::is_sound;
use crate::search::trips::trip_sequence::TripSequence;
use crate::search::{Outcome, Planner, is_met_apart_from_holds, makespan_lower_bound_s};
use crate::statics::WarmStart;
use crate::travel::Trip;
use footholds::{Foothold, Footholds, Footing};
use indexmap::IndexSet;
use legs::Legs;
use machine::{Leg, Machine, Sets};
use places::Place;
use reason::{Came, NoWalk, Tally, WhyWalk};
use stance::Stance;
use tops::Tops;

/// A module within this of its place fills its slot, in metres: half of what is allowed.
const IN_SLOT_M: f64 = 5e-4;
/// The hub is at its goal within this, in metres.
const AT_GOAL_M: f64 = 1e-5;
/// How far a stride is taken to lead, in radii of the ends.
const STRIDE_RADII: f64 = 1.8;
/// The weight of the strides that are still to make (weighted A*): more than 1 for an answer sooner.
const WEIGHT: f64 = 1.5;
/// Points between those of the coarser grid wait for so many strides.
const FINE: f64 = 0.5;
/// The hub goes farther than this in a stride, in metres.
const NEAR_M: f64 = 1e-4;
/// Most footholds for one place whose loads are worked out, and for which legs are then set.
const MOST_TRIED: [usize; 2] = [8, 3];
/// Most arrivals at the goal from which the legs are to take their places.
const MOST_UNSETTLED: usize = 40;

/// The walking planner.
#[derive(Clone, Copy, Debug, Default)]
pub struct Walking;

impl Walking {
    /// Why a crew is to walk, if it is: it is a machine whose goal is its own shape elsewhere, where its hub cannot drive straight; or it is large enough
    /// to form one, and no module gets by itself to where the goal wants it.
    pub(crate) fn suits(problem: &Problem) -> Option<WhyWalk> {
        match Machine::of(problem) {
            Ok(machine) if !machine.can_drive(problem) => Some(WhyWalk::Machine { legs: machine.legs.len() }),
            _ => mission::applies(problem).then_some(WhyWalk::Crew),
        }
    }

    /// Why a machine whose goal is its own shape elsewhere cannot stride, if its legs do not allow it.
    pub(crate) fn unsuited(problem: &Problem) -> Option<NoWalk> {
        Machine::of(problem).err().filter(|reason| matches!(reason, NoWalk::FewLegs { .. }))
    }
}

impl Planner for Walking {
    fn name(&self) -> &'static str {
        "walking"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let problem = task.problem;
        let unsolved = |(reason, stop): (NoWalk, Option<Stopped>)| {
            let status = stop.map_or(Status::BudgetSpent, status_of);
            let outcome = Outcome::nothing(status, makespan_lower_bound_s(problem));
            Outcome { note: Some(reason.to_string()), stop, ..outcome }
        };
        let machine = match Machine::of(problem) {
            Ok(mut machine) => {
                machine.settle_what_can_be_set(problem);
                machine
            }
            Err(NoWalk::NoMachine) if mission::applies(problem) => {
                return match mission::search(task, &|inner| self.search(inner)) {
                    Ok(trips) => Outcome::solved(problem, trips),
                    Err(reason) => unsolved(reason),
                };
            }
            Err(reason) => return unsolved((reason, None)),
        };
        let (tops, stance) = (Tops::new(problem), Stance::new(problem, &machine));
        let mut walk = Walk { task, machine: &machine, tops, stance, sits: Vec::new(), unsettled: 0 };
        match walk.search() {
            Ok(Some(trips)) => Outcome::solved(problem, trips),
            Ok(None) => unsolved((walk.reason(), None)),
            Err(stop) => unsolved((walk.reason(), Some(stop))),
        }
    }
}

struct Walk<'a> {
    task: &'a Task<'a>,
    machine: &'a Machine,
    tops: Tops<'a>,
    stance: Stance,
    /// Where the hub sat: first at the start.
    sits: Vec<Sit>,
    /// How often the hub was at its goal, and the legs could not take their places there.
    unsettled: usize,
}

/// How the machine came to where it sits.
struct Sit {
    way: TripSequence,
    /// Strides on the way, and what the setting of its hosts costs, in strides.
    cost: f64,
    farther: Tally,
    /// Numbers of legs whose hosts were found not to go bare from here: searches for their ways are long.
    stuck: Vec<usize>,
}

/// Why a stride was not made: how far it came, and which legs were not in place.
struct Failed {
    came: Came,
    left: Vec<usize>,
}

impl From<Came> for Failed {
    fn from(came: Came) -> Self {
        Self { came, left: Vec::new() }
    }
}

/// Places that wait: from where they are reached.
type Open = LeastFirst<(usize, Place)>;

impl Walk<'_> {
    fn search(&mut self) -> Result<Option<Vec<Trip>>, Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        let mut open = Open::default();
        let mut closed: IndexSet<(GroundId, Option<[i64; 2]>)> = IndexSet::new();
        self.sit(&mut open, TripSequence::new(problem, &problem.start), 0.0);
        while let Some((from, place)) = open.pop() {
            if let Some(stop) = self.task.budget.spent(self.sits.len() as u64, 0) {
                return Err(stop);
            }
            if closed.contains(&(place.to, place.point)) {
                continue;
            }
            self.sits[from].farther.tried += 1;
            let Some((way, setting)) = self.reach(from, &place)? else { continue };
            if machine.left_m(way.now()) < AT_GOAL_M {
                if let Some(done) = self.settle(&way)? {
                    return Ok(Some(done.trips));
                }
                self.unsettled += 1;
                if self.unsettled >= MOST_UNSETTLED {
                    return Ok(None);
                }
            }
            // With its legs elsewhere the machine may settle at the goal.
            if !place.is_goal(machine) {
                closed.insert((place.to, place.point));
            }
            let cost = self.sits[from].cost + 1.0 + setting;
            self.sit(&mut open, way, cost);
        }
        Ok(None)
    }

    /// Adds a place where the hub sits, and opens those that are in reach from there.
    fn sit(&mut self, open: &mut Open, way: TripSequence, cost: f64) {
        let (problem, machine) = (self.task.problem, self.machine);
        let places = places::in_reach(problem, machine, &self.tops, way.now());
        let node = self.sits.len();
        let here = way.now().get(machine.hub).position.truncate();
        for (number, place) in places.iter().enumerate().filter(|(_, place)| place.at.distance(here) > NEAR_M)
        {
            let left_m = place.at.distance(machine.goal_at());
            let left = WEIGHT * left_m / (STRIDE_RADII * machine.radius_m);
            let fine = if place.is_coarse() { 0.0 } else { FINE };
            open.push([cost + 1.0 + left + fine, left_m], [node as u64, number as u64], (node, *place));
        }
        let farther = Tally { places: places.len(), ..Tally::default() };
        self.sits.push(Sit { way, cost, farther, stuck: Vec::new() });
    }

    /// The way to a place by one stride more, and what the setting of hosts costs.
    fn reach(&mut self, from: usize, place: &Place) -> Result<Option<(TripSequence, f64)>, Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        let Sit { way, farther, stuck, .. } = &self.sits[from];
        let (mut tally, mut stuck) = (*farther, stuck.clone());
        let footholds = Footholds::new(problem, machine, &self.tops, &self.stance, way.now());
        let (footholds, reaches) = footholds.onto(place);
        // The one that gets farthest counts.
        let mut came = if reaches { Came::Unfounded } else { Came::Far };
        let (mut unready, mut reached) = (0, None);
        for foothold in footholds.iter().take(MOST_TRIED[0]) {
            if foothold.sets_any(&stuck) {
                came = came.max(Came::Unready);
                continue;
            }
            match self.make(way, foothold)? {
                Ok(made) => {
                    reached = Some((made, foothold.setting));
                    break;
                }
                Err(failed) => {
                    came = came.max(failed.came);
                    unready += usize::from(failed.came == Came::Unready);
                    let goes_bare = |leg: &usize| {
                        machine.legs[*leg].sets == Some(Sets::Bare) && foothold.legs[*leg].is_set
                    };
                    stuck.extend(failed.left.into_iter().filter(goes_bare));
                }
            }
            if unready >= MOST_TRIED[1] {
                break;
            }
        }
        if reached.is_none() {
            tally.count(came);
        }
        (self.sits[from].farther, self.sits[from].stuck) = (tally, stuck);
        Ok(reached)
    }

    /// Makes a stride, with the moves of the legs before it.
    fn make(
        &self,
        from: &TripSequence,
        foothold: &Foothold,
    ) -> Result<Result<TripSequence, Failed>, Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        let trip = foothold.trip(machine);
        let Some((ready, action, after)) = foothold.made(problem, machine, from.now()) else {
            return Ok(Err(Came::Met.into()));
        };
        let stretch = Stretch::of_move(problem, &ready, machine.hub, &action, &after);
        if !stretch.is_clear() {
            return Ok(Err(Came::Met.into()));
        }
        let limit = problem.limits.utilisation_to_plan_for();
        if !stretch.carries(limit, &mut WarmStart::default(), self.task.budget.interrupt)? {
            return Ok(Err(Came::Heavy.into()));
        }
        let axis = DVec3::Z.cross(foothold.stride.ahead);
        let mut sequence = match self.bring_all(from, &foothold.legs, Some((foothold, axis)))? {
            Ok(sequence) => sequence,
            Err(left) => return Ok(Err(Failed { came: Came::Unready, left })),
        };
        if !is_sound(problem, sequence.now(), &trip, self.task.budget)? {
            return Ok(Err(Came::Unready.into()));
        }
        let Some(after) = after_trip(problem, sequence.now(), &trip) else {
            return Ok(Err(Came::Unready.into()));
        };
        sequence.push(trip, after);
        Ok(Ok(sequence))
    }

    /// How far it came, and what stopped it there.
    fn reason(&self) -> NoWalk {
        if self.unsettled > 0 {
            return NoWalk::Unsettled { arrivals: self.unsettled };
        }
        let left_m = |sit: &Sit| self.machine.left_m(sit.way.now());
        let nearest = self.sits.iter().min_by(|a, b| left_m(a).total_cmp(&left_m(b)));
        NoWalk::NoStrides {
            sits: self.sits.len(),
            left_m: nearest.map_or(f64::INFINITY, left_m),
            farther: nearest.map(|sit| sit.farther).unwrap_or_default(),
        }
    }

    /// The legs take their places in the shape that the goal asks for.
    fn settle(&self, from: &TripSequence) -> Result<Option<TripSequence>, Stopped> {
        let goal = &self.machine.goal;
        let shift = from.now().get(self.machine.hub).position - goal[self.machine.hub.index()];
        let place = |id: ModuleId| goal[id.index()] + shift;
        let footing = |leg: &Leg| {
            let host = place(leg.host);
            let off_m = from.now().get(leg.host).position.distance(host);
            Footing {
                host,
                end: place(leg.end),
                is_set: leg.sets == Some(Sets::Carrying) || off_m > IN_SLOT_M,
                plants: false,
            }
        };
        let places: Vec<Footing> = self.machine.legs.iter().map(footing).collect();
        let done = self.bring_all(from, &places, None)?;
        Ok(done.ok().filter(|done| is_met_apart_from_holds(self.task.problem, done.now())))
    }

    /// Brings all legs to their places, always the first that can go there; in a second round with searches for ways. Else the numbers of those that
    /// are left.
    fn bring_all(
        &self,
        from: &TripSequence,
        places: &[Footing],
        stride: Option<(&Foothold, DVec3)>,
    ) -> Result<Result<TripSequence, Vec<usize>>, Stopped> {
        let mut sequence = from.clone();
        let mut left: Vec<usize> = (0..places.len()).collect();
        while !left.is_empty() {
            let mut gone = None;
            for searches in [false, true] {
                let legs = Legs { task: self.task, searches };
                for (position, &index) in left.iter().enumerate() {
                    let (leg, footing) = (&self.machine.legs[index], places[index]);
                    let off = footing.end - footing.host;
                    let planted = stride.filter(|_| footing.plants);
                    let end_of = |now: DVec3| match planted {
                        Some((foothold, axis)) => foothold.end_beside(leg, now, off.dot(axis).signum()),
                        None => now + off,
                    };
                    let axis = planted.map(|(_, axis)| axis);
                    let host = footing.is_set.then_some(footing.host);
                    if let Some(done) = legs.bring(&sequence, leg, host, &end_of, axis)? {
                        gone = Some((position, done));
                        break;
                    }
                }
                if gone.is_some() || stride.is_some() {
                    break;
                }
            }
            let Some((position, done)) = gone else { return Ok(Err(left)) };
            left.remove(position);
            sequence = done;
        }
        Ok(Ok(sequence))
    }
}
