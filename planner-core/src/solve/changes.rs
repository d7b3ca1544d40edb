//! Random changes of trip goals: the neighbourhood of the search for trips that end sooner side by side.

use super::trip_goals::TripGoals;
use crate::math::{DQuat, DVec3, SplitMix64, cos, sin};
use crate::model::{Body, ModuleId, Problem};
use crate::search::trips::trip_goal::TripGoal;
use crate::search::trips::trip_sequence::TripSequence;
use crate::travel::Way;
use std::f64::consts::TAU;

/// Least and greatest distance by which a module steps aside, in shell radii.
const ASIDE: (f64, f64) = (2.0, 8.0);
/// Greatest distance by which a place to wait at is moved, in shell radii.
const ELSEWHERE: f64 = 5.0;
/// Greatest angle by which a place on a shell is moved, in radians.
const NUDGE_RAD: f64 = 1.0;
/// Where modules gather, one in so many changes is another crossing from some stop on.
const ANEW: usize = 40;
/// One in so many changes is of something that is not critical.
const ANYWHERE: usize = 8;

/// What is changed: trip goals, the trips that reach them, and the indices of those on a critical path.
#[derive(Clone, Copy, Debug)]
pub(super) struct SoFar<'a> {
    pub(super) goals: &'a TripGoals,
    pub(super) sequence: &'a TripSequence,
    pub(super) critical: &'a [usize],
}

/// A change to try.
#[derive(Clone, Debug)]
pub(super) enum Changed {
    /// Other trip goals.
    Goals(TripGoals),
    /// From this stop on a crossing over other structures, by a seed.
    Crossing(usize, u64),
}

/// One random change, most often of something critical.
///
/// Where a crew has to fill slots, it is about who goes where and in which order. Where modules gather on a deck, it is also about where they wait, who of
/// them does what from then on, and over which structures they cross.
pub(super) fn changed(problem: &Problem, so_far: &SoFar<'_>, random: &mut SplitMix64) -> Changed {
    let mut change = Change { problem, so_far, random };
    let count = so_far.goals.goals.len();
    if count == 0 {
        return Changed::Goals(so_far.goals.clone());
    }
    let any = change.random.below(count);
    let critical = so_far.critical;
    let at = if critical.is_empty() || change.random.below(ANYWHERE) == 0 {
        any
    } else {
        critical[change.random.below(critical.len())]
    };
    if problem.goal.gather.is_some() {
        if change.random.below(ANEW) == 0 {
            return Changed::Crossing(at, change.random.next_u64());
        }
        return Changed::Goals(match change.random.below(16) {
            0 => change.exchanged(at),
            1..4 => change.exchanged_from(at),
            4..7 => change.moved(at),
            7 => change.stepped_aside(at),
            8 | 9 => change.left_out(at),
            10..15 => change.elsewhere(at),
            _ => change.nudged(at),
        });
    }
    Changed::Goals(match change.random.below(10) {
        0..4 => change.exchanged(at),
        4..8 => change.moved(at),
        8 => change.stepped_aside(at),
        _ => change.left_out(at),
    })
}

struct Change<'a, 'b> {
    problem: &'a Problem,
    so_far: &'a SoFar<'a>,
    random: &'b mut SplitMix64,
}

impl Change<'_, '_> {
    fn module(&self, at: usize) -> ModuleId {
        self.so_far.goals.goals[at].module()
    }

    /// Another module of the same class, if there is one.
    fn like(&mut self, module: ModuleId) -> Option<ModuleId> {
        let class = |m: ModuleId| self.problem.modules[m.index()].class;
        let like: Vec<ModuleId> =
            self.problem.module_ids().filter(|&m| m != module && class(m) == class(module)).collect();
        (!like.is_empty()).then(|| like[self.random.below(like.len())])
    }

    /// Exchanges a module with another of the same class.
    fn exchanged(&mut self, at: usize) -> TripGoals {
        let module = self.module(at);
        self.like(module)
            .map_or_else(|| self.so_far.goals.clone(), |like| self.so_far.goals.exchanged(module, like))
    }

    /// The same from one trip goal on.
    fn exchanged_from(&mut self, at: usize) -> TripGoals {
        let module = self.module(at);
        let Some(like) = self.like(module) else { return self.so_far.goals.clone() };
        let (before, from) = self.so_far.goals.goals.split_at(at);
        let from = TripGoals { goals: from.to_vec() }.exchanged(module, like);
        TripGoals { goals: [before.to_vec(), from.goals].concat() }
    }

    /// Moves one trip goal to another position in the order.
    fn moved(&mut self, at: usize) -> TripGoals {
        let mut changed = self.so_far.goals.clone();
        let goal = changed.goals.remove(at);
        let to = self.random.below(changed.goals.len() + 1);
        changed.goals.insert(to, goal);
        changed
    }

    /// Adds a trip goal before another one by which a module on a deck steps aside.
    fn stepped_aside(&mut self, at: usize) -> TripGoals {
        let mut changed = self.so_far.goals.clone();
        let stop = &self.so_far.sequence.stops[at];
        let on_decks: Vec<ModuleId> = self
            .problem
            .module_ids()
            .filter(|&m| stop.get(m).host.ground().is_some() && !stop.is_stood_on(m))
            .collect();
        if on_decks.is_empty() {
            return changed;
        }
        let module = on_decks[self.random.below(on_decks.len())];
        let place = stop.get(module);
        let position = place.position + self.level(module, ASIDE);
        changed.goals.insert(at, TripGoal::Go { module, host: place.host, position });
        changed
    }

    /// A random level way with a length between two numbers of shell radii.
    fn level(&mut self, module: ModuleId, (least, most): (f64, f64)) -> DVec3 {
        let (angle, share) = (self.random.between(0.0, TAU), self.random.between(0.0, 1.0));
        let way_m = (least + (most - least) * share) * self.problem.kind(module).shell_radius_m;
        DVec3::new(cos(angle), sin(angle), 0.0) * way_m
    }

    /// Leaves out a trip goal if its module has another one later.
    fn left_out(&mut self, at: usize) -> TripGoals {
        let mut changed = self.so_far.goals.clone();
        let goal = changed.goals.remove(at);
        if changed.goals[at..].iter().any(|later| later.module() == goal.module()) {
            return changed;
        }
        self.moved(at)
    }

    /// Has a module that drives to a place on the ground wait elsewhere: near that place, or near where it came to the ground. Of modules that gather
    /// nothing else is asked.
    fn elsewhere(&mut self, at: usize) -> TripGoals {
        let mut changed = self.so_far.goals.clone();
        let landing = self.landing(at);
        let TripGoal::Go { module, host, position } = &mut changed.goals[at] else { return self.moved(at) };
        if host.ground().is_none() {
            return self.moved(at);
        }
        let base = landing.filter(|_| self.random.below(2) == 0).unwrap_or(*position);
        *position = base + self.level(*module, (0.0, ELSEWHERE));
        changed
    }

    /// Where the module of a trip hops onto the ground on which the trip ends.
    fn landing(&self, at: usize) -> Option<DVec3> {
        let Way::Alone(waypoints) = &self.so_far.sequence.trips[at].way else { return None };
        let host = waypoints.last()?.host;
        let from = waypoints.iter().rposition(|waypoint| waypoint.host != host)?;
        Some(waypoints[from + 1].position)
    }

    /// Moves a module's place on a shell.
    fn nudged(&mut self, at: usize) -> TripGoals {
        let mut changed = self.so_far.goals.clone();
        let stop = &self.so_far.sequence.stops[at + 1];
        let TripGoal::Go { host: Body::Module(host), position, .. } = &mut changed.goals[at] else {
            return self.moved(at);
        };
        let centre = stop.get(*host).position;
        let height = self.random.between(-1.0, 1.0);
        let around = self.random.between(0.0, TAU);
        let level = (1.0 - height * height).sqrt();
        let axis = DVec3::new(level * cos(around), level * sin(around), height);
        let angle = self.random.between(-NUDGE_RAD, NUDGE_RAD);
        *position = centre + DQuat::from_axis_angle(axis, angle) * (*position - centre);
        changed
    }
}
