//! Legs move while the hub sits: an end goes round its host, and a host goes to another place on its base with the end above it, or without it while the
//! end stands on the base.

use super::footholds::above;
use super::machine::{Leg, Sets};
use crate::control::Stopped;
use crate::math::{DQuat, DVec3, angle_between, atan2};
use crate::model::{Body, ModuleId};
use crate::motion::Move;
use crate::search::planner::Task;
use crate::search::trips::successors::after_trip;
use crate::search::trips::trip_goal::{TripGoal, is_sound};
use crate::search::trips::trip_sequence::TripSequence;
use crate::travel::{Round, Trip, Waypoint};
use std::f64::consts::PI;

/// A module that is this near to its place needs no trip, in metres.
pub(super) const THERE_M: f64 = 1e-9;
/// Tracks are square within this, in radians: a hundredth of what is allowed.
const SQUARE_RAD: f64 = 1e-5;
/// They point along a way within this, in radians.
const ALONG_RAD: f64 = 1e-8;
/// Where an end is while its host goes: so many degrees from the host's foot, in a vertical plane; the least loads the host's bond least.
const ABOVE_DEG: [f64; 5] = [66.0, 80.0, 95.0, 110.0, 130.0];
/// Where an end waits on the base while its host goes: so many degrees from the host, in a vertical plane.
const ASIDE_DEG: [f64; 3] = [75.0, 95.0, 120.0];
/// Ways over a host: by the middle of both places, raised by so many times its distance.
const RAISED: [f64; 3] = [0.4, 0.9, 2.0];

/// The moves of legs.
#[derive(Clone, Copy)]
pub(super) struct Legs<'a> {
    pub(super) task: &'a Task<'a>,
    /// What is allowed besides direct ways: a search for any.
    pub(super) searches: bool,
}

impl Legs<'_> {
    /// Brings an end to its place, which follows from where its host then is, and its host to its own first. With an `axis` the end's tracks become
    /// square to it. `None` where that cannot be done.
    pub(super) fn bring(
        &self,
        from: &TripSequence,
        leg: &Leg,
        host: Option<DVec3>,
        end_of: &dyn Fn(DVec3) -> DVec3,
        axis: Option<DVec3>,
    ) -> Result<Option<TripSequence>, Stopped> {
        let away = |place: &DVec3| from.now().get(leg.host).position.distance(*place) > THERE_M;
        let Some(place) = host.filter(away) else {
            return self.bring_end(from, leg, end_of(from.now().get(leg.host).position), axis);
        };
        let carrying: &[f64] = if leg.sets == Some(Sets::Carrying) { &ABOVE_DEG } else { &[] };
        let bare: &[f64] = if self.searches || carrying.is_empty() { &ASIDE_DEG } else { &[] };
        let ways = carrying
            .iter()
            .map(|&degrees| (true, degrees))
            .chain(bare.iter().map(|&degrees| (false, degrees)));
        for (carries, degrees) in ways {
            let set = if carries {
                self.set_host(from, leg, place, degrees)?
            } else {
                self.set_bare_host(from, leg, place, degrees)?
            };
            let Some(set) = set else { continue };
            let end = end_of(set.now().get(leg.host).position);
            // From the base an end finds its way back only by a search.
            let searches = self.searches || !carries;
            if let Some(done) = (Legs { searches, ..*self }).bring_end(&set, leg, end, axis)? {
                return Ok(Some(done));
            }
        }
        Ok(None)
    }

    /// Brings a host to another place on its base: its end goes to the base first, and stays there.
    fn set_bare_host(
        &self,
        from: &TripSequence,
        leg: &Leg,
        place: DVec3,
        aside_deg: f64,
    ) -> Result<Option<TripSequence>, Stopped> {
        let (problem, now) = (self.task.problem, from.now());
        let (host, base) = (now.get(leg.host).position, now.get(leg.base).position);
        // Seen from the host's foot its end is on the other side.
        let Some(aside) = above((host - base).normalize(), 180.0 - aside_deg) else { return Ok(None) };
        let waits_m = problem.kind(leg.end).standing_distance(problem.kind(leg.base));
        let mut sequence = from.clone();
        for (module, position) in [(leg.end, base + aside * waits_m), (leg.host, place)] {
            let goal = TripGoal::Go { module, host: Body::Module(leg.base), position };
            let Some(done) = goal.run(problem, sequence.now(), self.task.budget)? else { return Ok(None) };
            sequence.push(done.trip, done.after);
        }
        Ok(Some(sequence))
    }

    /// Brings a host to another place on its base: its end goes above it, it turns its tracks into the way, and drives.
    fn set_host(
        &self,
        from: &TripSequence,
        leg: &Leg,
        place: DVec3,
        above_deg: f64,
    ) -> Result<Option<TripSequence>, Stopped> {
        let (problem, host) = (self.task.problem, from.now().get(leg.host));
        let base = from.now().get(leg.base).position;
        let (up, goal) = (host.up(), (place - base).normalize());
        let Some(axis) = up.cross(goal).try_normalize() else { return Ok(None) };
        let angle = angle_between(up, goal);
        let turn_rad = half_turn(turn_about(up, host.heading(), axis.cross(up)));
        // Where the end is when the host arrives, when it departs, and before the host turns.
        let Some(last) = above(goal, above_deg) else { return Ok(None) };
        let departs = DQuat::from_axis_angle(axis, -angle) * last;
        let before = DQuat::from_axis_angle(up, -turn_rad) * departs;
        let Some(mut sequence) = self.bring_end(from, leg, host.position + before * leg.end_m, None)? else {
            return Ok(None);
        };
        if turn_rad.abs() > ALONG_RAD
            && !self.make(&mut sequence, leg.host, Move::Yaw { angle_rad: turn_rad })?
        {
            return Ok(None);
        }
        let base_kind = problem.kind(leg.base);
        let forward = sequence.now().get(leg.host).heading().dot(axis.cross(up)).signum();
        let travel_m = forward * angle * base_kind.shell_radius_m;
        let drives = self.make(&mut sequence, leg.host, Move::Slide { travel_m, curvature_per_m: 0.0 })?;
        Ok(drives.then_some(sequence))
    }

    /// Makes a move of a module with what it carries if it is sound.
    fn make(&self, sequence: &mut TripSequence, id: ModuleId, action: Move) -> Result<bool, Stopped> {
        self.push(sequence, Trip::carrying(id, vec![action]))
    }

    fn push(&self, sequence: &mut TripSequence, trip: Trip) -> Result<bool, Stopped> {
        let (problem, budget) = (self.task.problem, self.task.budget);
        if !is_sound(problem, sequence.now(), &trip, budget)? {
            return Ok(false);
        }
        let Some(after) = after_trip(problem, sequence.now(), &trip) else { return Ok(false) };
        sequence.push(trip, after);
        Ok(true)
    }

    /// Brings an end to a place on its host.
    fn bring_end(
        &self,
        from: &TripSequence,
        leg: &Leg,
        place: DVec3,
        axis: Option<DVec3>,
    ) -> Result<Option<TripSequence>, Stopped> {
        let mut sequence = from.clone();
        let there = from.now().get(leg.end).position;
        if there.distance(place) > THERE_M && !self.go(&mut sequence, leg, there, place)? {
            return Ok(None);
        }
        let Some(axis) = axis else { return Ok(Some(sequence)) };
        let own = sequence.now().get(leg.end);
        let angle_rad = half_turn(turn_about(own.up(), own.heading(), own.up().cross(axis)));
        let done =
            angle_rad.abs() <= SQUARE_RAD || self.make(&mut sequence, leg.end, Move::Yaw { angle_rad })?;
        Ok(done.then_some(sequence))
    }

    /// Round the host at its height or as a crank, straight, over it, or any other way.
    fn go(
        &self,
        sequence: &mut TripSequence,
        leg: &Leg,
        there: DVec3,
        place: DVec3,
    ) -> Result<bool, Stopped> {
        let (problem, budget) = (self.task.problem, self.task.budget);
        let (body, centre) = (Body::Module(leg.host), sequence.now().get(leg.host).position);
        let left = sequence.now().get(leg.end).up().cross(sequence.now().get(leg.end).heading());
        let crank = DVec3::new(left.x, left.y, 0.0).try_normalize();
        let axes = [Some(DVec3::Z), Some(DVec3::NEG_Z), crank, crank.map(|axis| -axis)];
        let round = |axis: DVec3| {
            let along = |p: DVec3| (p - centre).dot(axis);
            let is_circle = (along(there) - along(place)).abs() < THERE_M;
            let round = Some(Round { centre, axis });
            is_circle.then(|| vec![Waypoint { host: body, position: place, round }])
        };
        let straight = |position: DVec3| Waypoint::straight(body, position);
        let middle = 0.5 * (there + place) - centre;
        let over = |raised: f64| {
            let by = middle + DVec3::Z * (raised * leg.end_m);
            by.try_normalize().map(|by| vec![straight(centre + by * leg.end_m), straight(place)])
        };
        let rounds = axes.into_iter().flatten().filter_map(round);
        let ways =
            rounds.chain(std::iter::once(vec![straight(place)])).chain(RAISED.into_iter().filter_map(over));
        for way in ways {
            if self.push(sequence, Trip::alone(leg.end, way))? {
                return Ok(true);
            }
        }
        if !self.searches {
            return Ok(false);
        }
        let goal = TripGoal::Go { module: leg.end, host: body, position: place };
        let found = goal.run(problem, sequence.now(), budget)?;
        Ok(found.map(|done| sequence.push(done.trip, done.after)).is_some())
    }
}

/// The angle from one direction to another about an axis.
fn turn_about(up: DVec3, from: DVec3, to: DVec3) -> f64 {
    atan2(up.dot(from.cross(to)), from.dot(to))
}

/// The same but for half turns: tracks drive forwards and backwards.
fn half_turn(angle_rad: f64) -> f64 {
    angle_rad - (angle_rad / PI).round() * PI
}
