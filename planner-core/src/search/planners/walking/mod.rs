//! A formed machine walks to where the goal wants its shape.
//!
//! The machine is found from the shape ([`machine`]). A search over places of the hub finds strides whose ends roll on level decks and whose foot comes
//! down on one ([`footholds`]); whether a stride is clear and carries its load is looked at once for all strides alike. Between two strides the hub sits,
//! and each end goes by itself to where the next stride needs it. A stride or a recovery that cannot be made is left out, and the search begins again.

mod footholds;
mod machine;

use super::super::outcome::status_of;
use crate::control::Stopped;
use crate::math::{DVec3, atan2, tolerance};
use crate::model::{Body, Configuration, Problem};
use crate::motion::{Move, Planted, Stretch};
use crate::plan::Status;
use crate::search::planner::Task;
use crate::search::trips::successors::after_trip;
use crate::search::trips::trip_goal::{TripGoal, is_sound};
use crate::search::trips::trip_sequence::TripSequence;
use crate::search::{Outcome, Planner, makespan_lower_bound_s};
use crate::statics::WarmStart;
use crate::travel::{Round, Trip, Waypoint};
use footholds::{Foothold, Footholds};
use indexmap::{IndexMap, IndexSet};
use machine::{End, Machine};

/// Walks that are tried.
const TRIES: usize = 200;
/// An end that is this near to its place needs no trip, in metres.
const THERE_M: f64 = 1e-9;
/// Tracks are square within this, in radians: a hundredth of what is allowed.
const SQUARE_RAD: f64 = 1e-5;

/// The walking planner.
#[derive(Clone, Copy, Debug, Default)]
pub struct Walking;

impl Walking {
    /// Whether the crew is a machine whose goal is its own shape elsewhere, where its hub cannot drive straight.
    pub(crate) fn applies(problem: &Problem) -> bool {
        Machine::of(problem).is_some_and(|machine| !machine.can_drive(problem))
    }
}

impl Planner for Walking {
    fn name(&self) -> &'static str {
        "walking"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        let problem = task.problem;
        let Some(machine) = Machine::of(problem) else {
            return noted(
                problem,
                "the crew is no machine whose goal is its own shape in the same heading elsewhere",
            );
        };
        match (Walk { task, machine: &machine, loads: IndexMap::new(), left_out: IndexSet::new() }).search() {
            Ok(Some(trips)) => Outcome::solved(problem, trips),
            Ok(None) => noted(
                problem,
                "no strides lead there: the decks offer no footholds, or none that carry the load",
            ),
            Err(stop) => Outcome { status: status_of(stop), ..Outcome::stopped(problem, stop) },
        }
    }
}

fn noted(problem: &Problem, note: &str) -> Outcome {
    let outcome = Outcome::nothing(Status::BudgetSpent, makespan_lower_bound_s(problem));
    Outcome { note: Some(note.to_owned()), ..outcome }
}

struct Walk<'a> {
    task: &'a Task<'a>,
    machine: &'a Machine,
    /// Whether strides carry their loads, by what that depends on.
    loads: IndexMap<[i64; 3], bool>,
    /// Strides that could not be made from where they begin.
    left_out: IndexSet<[i64; 2]>,
}

impl Walk<'_> {
    fn search(mut self) -> Result<Option<Vec<Trip>>, Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        let start = TripSequence::new(problem, &problem.start);
        let footholds = Footholds { problem, machine, back_at_start_m: back_at_start_m(problem, machine) };
        for tried in 0..TRIES {
            if let Some(stop) = self.task.budget.spent(tried as u64, 0) {
                return Err(stop);
            }
            let mut stopped = None;
            let path = footholds.walk(|foothold| {
                stopped.is_none()
                    && self.allows(start.now(), foothold).unwrap_or_else(|stop| {
                        stopped = Some(stop);
                        false
                    })
            });
            if let Some(stop) = stopped {
                return Err(stop);
            }
            let Some(path) = path else { return Ok(None) };
            match self.make(start.clone(), &path)? {
                Ok(trips) => return Ok(Some(trips)),
                Err(failed) => self.left_out.insert(failed.place_key()),
            };
        }
        Ok(None)
    }

    /// Whether a stride is clear where it is made, and carries its load.
    fn allows(&mut self, start: &Configuration, foothold: &Foothold) -> Result<bool, Stopped> {
        if self.left_out.contains(&foothold.place_key()) {
            return Ok(false);
        }
        let problem = self.task.problem;
        let key = foothold.key(problem);
        if self.loads.get(&key) == Some(&false) {
            return Ok(false);
        }
        let Some(there) = self.stance(start, foothold) else { return Ok(false) };
        let trip = self.stride(foothold);
        let ready = trip.released(&there);
        let Ok(moves) = trip.moves(problem, &ready) else { return Ok(false) };
        let [(action, after)] = moves.as_slice() else { return Ok(false) };
        let stretch = Stretch::of_move(problem, &ready, self.machine.hub, action, after);
        if !stretch.is_clear() {
            return Ok(false);
        }
        if let Some(&carries) = self.loads.get(&key) {
            return Ok(carries);
        }
        let limit = problem.limits.utilisation_to_plan_for();
        let carries = stretch.carries(limit, &mut WarmStart::default(), self.task.budget.interrupt)?;
        self.loads.insert(key, carries);
        Ok(carries)
    }

    fn stride(&self, foothold: &Foothold) -> Trip {
        let machine = self.machine;
        let ends: Vec<_> = machine.ends.iter().map(|end| end.id).collect();
        let moves = Planted::new(&ends).map(|planted| Move::Stride {
            direction: machine.ahead.truncate(),
            angle_rad: foothold.angle_rad,
            planted,
            to: foothold.to.ground,
        });
        Trip::carrying(machine.hub, moves.into_iter().collect())
    }

    /// The machine as it is when a stride begins, shifted there from the start.
    fn stance(&self, start: &Configuration, foothold: &Foothold) -> Option<Configuration> {
        let (problem, machine) = (self.task.problem, self.machine);
        let foot = machine.foot_at(&problem.start, foothold.from.far_m);
        let hub = problem.ground(foothold.from.ground).stand(foot, problem.kind(machine.hub).ride_height_m);
        let shift = hub - start.get(machine.hub).position;
        let mut there = start.clone();
        for id in problem.module_ids() {
            there.get_mut(id).position += shift;
        }
        there.get_mut(machine.hub).host = Body::Ground(foothold.from.ground);
        for end in &machine.ends {
            let position = foothold.place_of(problem, machine, end);
            let up = (position - there.get(end.host).position).normalize();
            let place = there.get_mut(end.id);
            place.position = position;
            place.orientation = crate::math::heading_frame(up, self.square(up))?;
        }
        Some(there)
    }

    /// The heading of tracks square to the axis.
    fn square(&self, up: DVec3) -> DVec3 {
        up.cross(self.machine.left)
    }

    /// Makes the strides of a walk, with the recoveries between them; the stride that cannot be made otherwise.
    fn make(
        &self,
        mut sequence: TripSequence,
        path: &[Foothold],
    ) -> Result<Result<Vec<Trip>, Foothold>, Stopped> {
        let (problem, machine) = (self.task.problem, self.machine);
        for foothold in path {
            let places: Vec<(End, DVec3)> =
                machine.ends.iter().map(|end| (*end, foothold.place_of(problem, machine, end))).collect();
            let Some(recovered) = self.recover(&sequence, &places, true)? else { return Ok(Err(*foothold)) };
            sequence = recovered;
            let trip = self.stride(foothold);
            let sound = is_sound(problem, sequence.now(), &trip, self.task.budget)?;
            let Some(after) = after_trip(problem, sequence.now(), &trip).filter(|_| sound) else {
                return Ok(Err(*foothold));
            };
            sequence.push(trip, after);
        }
        let Some(last) = path.last() else { return Ok(Ok(Vec::new())) };
        let shift = sequence.now().get(machine.hub).position - problem.start.get(machine.hub).position;
        let homes: Vec<(End, DVec3)> =
            machine.ends.iter().map(|end| (*end, problem.start.get(end.id).position + shift)).collect();
        Ok(self.recover(&sequence, &homes, false)?.map(|done| done.trips).ok_or(*last))
    }

    /// Brings ends to their places one after the other, in the first order that is sound, with their tracks square to the axis if asked for.
    fn recover(
        &self,
        from: &TripSequence,
        left: &[(End, DVec3)],
        square: bool,
    ) -> Result<Option<TripSequence>, Stopped> {
        if left.is_empty() {
            return Ok(Some(from.clone()));
        }
        for (index, (end, place)) in left.iter().enumerate() {
            let Some(sequence) = self.bring(from, end, *place, square)? else { continue };
            let mut others = left.to_vec();
            others.remove(index);
            if let Some(found) = self.recover(&sequence, &others, square)? {
                return Ok(Some(found));
            }
        }
        Ok(None)
    }

    /// Brings one end to its place: round its host at its height, over the top of it as a crank, or any other way.
    fn bring(
        &self,
        from: &TripSequence,
        end: &End,
        place: DVec3,
        square: bool,
    ) -> Result<Option<TripSequence>, Stopped> {
        let (problem, budget) = (self.task.problem, self.task.budget);
        let mut sequence = from.clone();
        let there = from.now().get(end.id).position;
        if there.distance(place) > THERE_M {
            let centre = from.now().get(end.host).position;
            let round = |axis: DVec3| {
                let along = |p: DVec3| (p - centre).dot(axis);
                let round = Round { centre, axis };
                ((along(there) - along(place)).abs() < THERE_M).then_some(Waypoint {
                    host: Body::Module(end.host),
                    position: place,
                    round: Some(round),
                })
            };
            let axes = [DVec3::Z, DVec3::NEG_Z, self.machine.left, -self.machine.left];
            let mut done = None;
            for waypoint in axes.into_iter().filter_map(round) {
                let trip = Trip::alone(end.id, vec![waypoint]);
                if is_sound(problem, from.now(), &trip, budget)? {
                    done = after_trip(problem, from.now(), &trip).map(|after| (trip, after));
                }
                if done.is_some() {
                    break;
                }
            }
            if done.is_none() {
                let goal = TripGoal::Go { module: end.id, host: Body::Module(end.host), position: place };
                done = goal.run(problem, from.now(), budget)?.map(|found| (found.trip, found.after));
            }
            let Some((trip, after)) = done else { return Ok(None) };
            sequence.push(trip, after);
        }
        if square {
            let own = sequence.now().get(end.id);
            let (up, now) = (own.up(), own.heading());
            let heading = self.square(up);
            let angle = atan2(up.dot(now.cross(heading)), now.dot(heading));
            let angle_rad = angle - (angle / std::f64::consts::PI).round() * std::f64::consts::PI;
            if angle_rad.abs() > SQUARE_RAD {
                let trip = Trip::carrying(end.id, vec![Move::Yaw { angle_rad }]);
                let sound = is_sound(problem, sequence.now(), &trip, budget)?;
                let Some(after) = after_trip(problem, sequence.now(), &trip).filter(|_| sound) else {
                    return Ok(None);
                };
                sequence.push(trip, after);
            }
        }
        Ok(Some(sequence))
    }
}

/// How far the ends are ahead of their hosts at the start, if all are alike and ahead.
fn back_at_start_m(problem: &Problem, machine: &Machine) -> Option<f64> {
    let back = |end: &End| {
        let (own, host) = (problem.start.get(end.id).position, problem.start.get(end.host).position);
        (own - host).dot(machine.ahead)
    };
    let first = machine.ends.first().map(back)?;
    let alike = machine.ends.iter().all(|end| (back(end) - first).abs() < tolerance::LENGTH_M * 1e-2);
    (first > 0.0 && alike).then_some(first)
}
