//! A formed machine walks to where the goal wants its shape.
//!
//! The machine and its legs are found from the shape ([`machine`]). Best-first search over the places where its hub sits: from each, strides whose ends
//! roll on level decks and whose foot comes down on one ([`footholds`]). A stride is looked at for bodies in the way and for its load when its turn
//! comes, and then made: while the hub sits, each leg goes by itself to where the stride needs it ([`legs`]). At the goal the legs take their places
//! in the shape that it asks for.

mod footholds;
mod legs;
mod machine;
mod reason;

use super::super::outcome::status_of;
use crate::control::Stopped;
use crate::math::{DVec3, LeastFirst, heading_frame};
use crate::model::{Body, Configuration, GroundId, Problem};
use crate::motion::{Move, Planted, Stretch};
use crate::plan::Status;
use crate::search::planner::Task;
use crate::search::trips::successors::after_trip;
use crate::search::trips::trip_goal::is_sound;
use crate::search::trips::trip_sequence::TripSequence;
use crate::search::{Outcome, Planner, is_met_apart_from_holds, makespan_lower_bound_s};
use crate::statics::WarmStart;
use crate::travel::Trip;
use footholds::{Foothold, Footholds};
use indexmap::IndexSet;
use legs::Legs;
use machine::Machine;
pub(crate) use reason::NoWalk;

/// Places of the hub nearer to each other than this are one, in metres.
const SAME_PLACE_M: f64 = 4e-3;
/// The hub is at its goal within this, in metres.
const AT_GOAL_M: f64 = 1e-5;
/// How far a stride is taken to lead, in radii of the ends.
const STRIDE_RADII: f64 = 1.8;
/// The weight of the strides that are still to make: more than 1 for an answer sooner.
const GREED: f64 = 1.5;
/// What it costs to set a host, in strides.
const SET: f64 = 0.1;

/// The walking planner.
#[derive(Clone, Copy, Debug, Default)]
pub struct Walking;

impl Walking {
    /// Whether the crew is a machine whose goal is its own shape elsewhere, where its hub cannot drive straight.
    pub(crate) fn applies(problem: &Problem) -> bool {
        Machine::of(problem).is_ok_and(|machine| !machine.can_drive(problem))
    }
}

impl Planner for Walking {
    fn name(&self) -> &'static str {
        "walking"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let problem = task.problem;
        let walked = Machine::of(problem).map(|machine| Walk { task, machine: &machine }.search());
        match walked {
            Ok(Ok(Ok(trips))) => Outcome::solved(problem, trips),
            Ok(Ok(Err(reason))) | Err(reason) => {
                let outcome = Outcome::nothing(Status::BudgetSpent, makespan_lower_bound_s(problem));
                Outcome { note: Some(reason.to_string()), ..outcome }
            }
            Ok(Err(stop)) => Outcome { status: status_of(stop), ..Outcome::stopped(problem, stop) },
        }
    }
}

struct Walk<'a> {
    task: &'a Task<'a>,
    machine: &'a Machine,
}

/// Why a stride was not made.
enum Failed {
    Met,
    Heavy,
    Unready,
}

impl Walk<'_> {
    fn search(self) -> Result<Result<Vec<Trip>, NoWalk>, Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        let mut open: LeastFirst<(usize, u32, Foothold)> = LeastFirst::default();
        let mut closed: IndexSet<(GroundId, [i64; 2])> = IndexSet::new();
        let mut sits = vec![TripSequence::new(problem, &problem.start)];
        self.open_from(&mut open, &sits[0], (0, 0));
        let (mut left_m, mut tried, mut failed) = (machine.left_m(&problem.start), 0, [0_usize; 3]);
        while let Some((from, strides, foothold)) = open.pop() {
            if let Some(stop) = self.task.budget.spent(tried as u64, 0) {
                return Err(stop);
            }
            let cell = foothold.lands.to_array().map(|v| (v / SAME_PLACE_M).round() as i64);
            if closed.contains(&(foothold.to, cell)) {
                continue;
            }
            tried += 1;
            let sits_there = match self.make(&sits[from], &foothold)? {
                Ok(sits_there) => sits_there,
                Err(why) => {
                    failed[why as usize] += 1;
                    continue;
                }
            };
            closed.insert((foothold.to, cell));
            let here_m = machine.left_m(sits_there.now());
            left_m = left_m.min(here_m);
            if here_m < AT_GOAL_M
                && let Some(done) = self.settle(&sits_there)?
            {
                return Ok(Ok(done.trips));
            }
            self.open_from(&mut open, &sits_there, (sits.len(), strides + 1));
            sits.push(sits_there);
        }
        let [met, heavy, unready] = failed;
        Ok(Err(NoWalk::NoStrides { left_m, tried, met, heavy, unready }))
    }

    /// Opens the strides from where the machine sits.
    fn open_from(
        &self,
        open: &mut LeastFirst<(usize, u32, Foothold)>,
        sits: &TripSequence,
        (node, strides): (usize, u32),
    ) {
        let (problem, machine) = (self.task.problem, self.machine);
        let now = sits.now();
        let Some(from) = now.get(machine.hub).host.ground() else { return };
        let footholds = Footholds { problem, machine, now, from }.strides();
        for (number, foothold) in footholds.into_iter().enumerate() {
            let left_m = foothold.lands.distance(machine.goal_at());
            let left = GREED * left_m / (STRIDE_RADII * machine.radius_m);
            let total = f64::from(strides + 1) + SET * foothold.set() as f64 + left;
            open.push([total, left_m], [node as u64, number as u64], (node, strides, foothold));
        }
    }

    /// Makes a stride, with the moves of the legs before it.
    fn make(
        &self,
        from: &TripSequence,
        foothold: &Foothold,
    ) -> Result<Result<TripSequence, Failed>, Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        let trip = self.stride(foothold);
        let Some(there) = self.stance(from.now(), foothold) else { return Ok(Err(Failed::Met)) };
        let ready = trip.released(&there);
        let Ok(moves) = trip.moves(problem, &ready) else { return Ok(Err(Failed::Met)) };
        let [(action, after)] = moves.as_slice() else { return Ok(Err(Failed::Met)) };
        let stretch = Stretch::of_move(problem, &ready, machine.hub, action, after);
        if !stretch.is_clear() {
            return Ok(Err(Failed::Met));
        }
        let limit = problem.limits.utilisation_to_plan_for();
        if !stretch.carries(limit, &mut WarmStart::default(), self.task.budget.interrupt)? {
            return Ok(Err(Failed::Heavy));
        }
        let axis = DVec3::Z.cross(foothold.ahead);
        let places: Vec<(DVec3, DVec3)> = foothold.legs.iter().map(|leg| (leg.host, leg.end)).collect();
        let Some(mut sequence) = self.bring_all(from, &places, Some((foothold, axis)))? else {
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
        let places: Vec<(DVec3, DVec3)> = self
            .machine
            .legs
            .iter()
            .map(|leg| (goal[leg.host.index()] + shift, goal[leg.end.index()] + shift))
            .collect();
        let done = self.bring_all(from, &places, None)?;
        Ok(done.filter(|done| is_met_apart_from_holds(self.task.problem, done.now())))
    }

    fn stride(&self, foothold: &Foothold) -> Trip {
        let ends: Vec<_> = self.machine.legs.iter().map(|leg| leg.end).collect();
        let moves = Planted::new(&ends).map(|planted| Move::Stride {
            direction: foothold.ahead.truncate(),
            angle_rad: foothold.angle_rad,
            planted,
            to: foothold.to,
        });
        Trip::carrying(self.machine.hub, moves.into_iter().collect())
    }

    /// The machine as it is when a stride begins.
    fn stance(&self, now: &Configuration, foothold: &Foothold) -> Option<Configuration> {
        let mut there = now.clone();
        for (leg, footing) in self.machine.legs.iter().zip(&foothold.legs) {
            let base = there.get(leg.base).position;
            let host = there.get_mut(leg.host);
            let up = (footing.host - base).normalize();
            if footing.is_set {
                host.orientation = heading_frame(up, up.any_orthogonal_vector())?;
                host.position = footing.host;
            }
            let up = (footing.end - footing.host).normalize();
            let end = there.get_mut(leg.end);
            (end.position, end.host) = (footing.end, Body::Module(leg.host));
            end.orientation = heading_frame(up, up.cross(DVec3::Z.cross(foothold.ahead)))?;
        }
        Some(there)
    }

    /// Brings all legs to their places, always the first that can go there; in a second round with searches for ways.
    fn bring_all(
        &self,
        from: &TripSequence,
        places: &[(DVec3, DVec3)],
        stride: Option<(&Foothold, DVec3)>,
    ) -> Result<Option<TripSequence>, Stopped> {
        let mut sequence = from.clone();
        let mut left: Vec<usize> = (0..places.len()).collect();
        while !left.is_empty() {
            let mut gone = None;
            for searches in [false, true] {
                let legs = Legs { task: self.task, searches };
                for (position, &index) in left.iter().enumerate() {
                    let (leg, (host, end)) = (&self.machine.legs[index], places[index]);
                    let end_of = |now: DVec3| match stride {
                        Some((foothold, axis)) => {
                            foothold.end_beside(leg, now, (end - host).dot(axis).signum())
                        }
                        None => end,
                    };
                    let axis = stride.map(|(_, axis)| axis);
                    if let Some(done) =
                        legs.bring(&sequence, leg, leg.may_set.then_some(host), &end_of, axis)?
                    {
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
