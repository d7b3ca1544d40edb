//! A formed machine walks to where the goal wants its shape.
//!
//! The machine and its legs are found from the shape ([`machine`]). Best-first search over the places where its hub sits: from each, strides whose ends
//! roll on level decks and whose foot comes down on one ([`footholds`]). A stride is looked at for bodies in the way and for its load when its turn
//! comes, and then made: while the hub sits, each leg goes by itself to where the stride needs it ([`legs`]). At the goal the legs take their places
//! in the shape that it asks for. A scattered crew forms a machine first, and is taken apart where it arrives ([`mission`]).

mod footholds;
mod legs;
mod machine;
mod mission;
mod reason;

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
use machine::{Leg, Machine};
pub(crate) use reason::NoWalk;

/// Places of the hub nearer to each other than this are one, in metres.
const SAME_PLACE_M: f64 = 4e-3;
/// The hub is at its goal within this, in metres.
const AT_GOAL_M: f64 = 1e-5;
/// How far a stride is taken to lead, in radii of the ends.
const STRIDE_RADII: f64 = 1.8;
/// The weight of the strides that are still to make (weighted A*): more than 1 for an answer sooner.
const WEIGHT: f64 = 1.5;
/// What it costs to set a host, in strides.
const SET: f64 = 0.1;

/// The walking planner.
#[derive(Clone, Copy, Debug, Default)]
pub struct Walking;

impl Walking {
    /// Whether the crew is a machine whose goal is its own shape elsewhere, where its hub cannot drive straight; or is large enough to form one, and
    /// no module gets by itself to where the goal wants it.
    pub(crate) fn applies(problem: &Problem) -> bool {
        Machine::of(problem).is_ok_and(|machine| !machine.can_drive(problem)) || mission::applies(problem)
    }
}

impl Planner for Walking {
    fn name(&self) -> &'static str {
        "walking"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let problem = task.problem;
        let noted = |reason: NoWalk| {
            let outcome = Outcome::nothing(Status::BudgetSpent, makespan_lower_bound_s(problem));
            Outcome { note: Some(reason.to_string()), ..outcome }
        };
        let machine = match Machine::of(problem) {
            Ok(mut machine) => {
                machine.settle_what_can_be_set(problem);
                machine
            }
            Err(NoWalk::NoMachine) if mission::applies(problem) => {
                return match mission::search(task, &|inner| self.search(inner)) {
                    Ok(Ok(trips)) => Outcome::solved(problem, trips),
                    Ok(Err(reason)) => noted(reason),
                    Err(stop) => Outcome { status: status_of(stop), ..Outcome::stopped(problem, stop) },
                };
            }
            Err(reason) => return noted(reason),
        };
        let mut walk = Walk { task, machine: &machine, sits: Vec::new(), found: Found::default() };
        match walk.search() {
            Ok(Some(trips)) => Outcome::solved(problem, trips),
            Ok(None) => noted(walk.found.reason(&machine, &walk.sits)),
            Err(stop) => Outcome {
                status: status_of(stop),
                stop: Some(stop),
                ..noted(walk.found.reason(&machine, &walk.sits))
            },
        }
    }
}

struct Walk<'a> {
    task: &'a Task<'a>,
    machine: &'a Machine,
    /// How the machine came to where it sat: first at the start.
    sits: Vec<TripSequence>,
    found: Found,
}

/// What became of the strides that were looked at.
#[derive(Default)]
struct Found {
    met: usize,
    tried: usize,
    heavy: usize,
    unready: usize,
}

impl Found {
    fn reason(&self, machine: &Machine, sits: &[TripSequence]) -> NoWalk {
        let &Self { met, tried, heavy, unready } = self;
        let left_m = sits.iter().map(|sits| machine.left_m(sits.now())).fold(f64::INFINITY, f64::min);
        NoWalk::NoStrides { left_m, met, tried, heavy, unready }
    }
}

/// Why a stride was not made.
enum Failed {
    Heavy,
    Unready,
}

/// Strides that wait: from where they begin, how many were made before, and how they are made.
type Open = LeastFirst<(usize, u32, Foothold)>;

impl Walk<'_> {
    fn search(&mut self) -> Result<Option<Vec<Trip>>, Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        let mut open = Open::default();
        let mut closed: IndexSet<(GroundId, [i64; 2])> = IndexSet::new();
        self.sits.push(TripSequence::new(problem, &problem.start));
        self.open_from(&mut open, 0, 0)?;
        while let Some((from, strides, foothold)) = open.pop() {
            if let Some(stop) = self.task.budget.spent(self.found.tried as u64, 0) {
                return Err(stop);
            }
            let cell = foothold.lands.to_array().map(|v| (v / SAME_PLACE_M).round() as i64);
            if closed.contains(&(foothold.to, cell)) {
                continue;
            }
            self.found.tried += 1;
            let sits = match self.make(&self.sits[from], &foothold)? {
                Ok(sits) => sits,
                Err(Failed::Heavy) => {
                    self.found.heavy += 1;
                    continue;
                }
                Err(Failed::Unready) => {
                    self.found.unready += 1;
                    continue;
                }
            };
            closed.insert((foothold.to, cell));
            if machine.left_m(sits.now()) < AT_GOAL_M
                && let Some(done) = self.settle(&sits)?
            {
                return Ok(Some(done.trips));
            }
            self.sits.push(sits);
            self.open_from(&mut open, self.sits.len() - 1, strides + 1)?;
        }
        Ok(None)
    }

    /// Opens the strides from where the machine sits.
    fn open_from(&mut self, open: &mut Open, node: usize, strides: u32) -> Result<(), Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        let now = self.sits[node].now();
        let Some(from) = now.get(machine.hub).host.ground() else { return Ok(()) };
        let budget = self.task.budget;
        let (footholds, met) = Footholds { problem, machine, now, from, budget }.strides()?;
        self.found.met += met;
        for (number, foothold) in footholds.into_iter().enumerate() {
            let left_m = foothold.lands.distance(machine.goal_at());
            let left = WEIGHT * left_m / (STRIDE_RADII * machine.radius_m);
            let total = f64::from(strides + 1) + SET * foothold.set() as f64 + left;
            open.push([total, left_m], [node as u64, number as u64], (node, strides, foothold));
        }
        Ok(())
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
            return Ok(Err(Failed::Unready));
        };
        let stretch = Stretch::of_move(problem, &ready, machine.hub, &action, &after);
        let limit = problem.limits.utilisation_to_plan_for();
        if !stretch.carries(limit, &mut WarmStart::default(), self.task.budget.interrupt)? {
            return Ok(Err(Failed::Heavy));
        }
        let axis = DVec3::Z.cross(foothold.ahead);
        let Some(mut sequence) = self.bring_all(from, &foothold.legs, Some((foothold, axis)))? else {
            return Ok(Err(Failed::Unready));
        };
        if !is_sound(problem, sequence.now(), &trip, self.task.budget)? {
            return Ok(Err(Failed::Unready));
        }
        let Some(after) = after_trip(problem, sequence.now(), &trip) else { return Ok(Err(Failed::Unready)) };
        sequence.push(trip, after);
        Ok(Ok(sequence))
    }

    /// The legs take their places in the shape that the goal asks for.
    fn settle(&self, from: &TripSequence) -> Result<Option<TripSequence>, Stopped> {
        let goal = &self.machine.goal;
        let shift = from.now().get(self.machine.hub).position - goal[self.machine.hub.index()];
        let place = |id: ModuleId| goal[id.index()] + shift;
        let footing = |leg: &Leg| Footing {
            host: place(leg.host),
            end: place(leg.end),
            is_set: leg.may_set,
            plants: false,
        };
        let places: Vec<Footing> = self.machine.legs.iter().map(footing).collect();
        let done = self.bring_all(from, &places, None)?;
        Ok(done.filter(|done| is_met_apart_from_holds(self.task.problem, done.now())))
    }

    /// Brings all legs to their places, always the first that can go there; in a second round with searches for ways.
    fn bring_all(
        &self,
        from: &TripSequence,
        places: &[Footing],
        stride: Option<(&Foothold, DVec3)>,
    ) -> Result<Option<TripSequence>, Stopped> {
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
            let Some((position, done)) = gone else { return Ok(None) };
            left.remove(position);
            sequence = done;
        }
        Ok(Some(sequence))
    }
}
