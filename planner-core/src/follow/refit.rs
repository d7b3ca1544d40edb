//! The same trips from where the crew really is: each leads to its planned place, on the hosts that are really there.

use super::follower::completed;
use crate::control::{Budget, Interrupt};
use crate::model::nearest::{Nearest, Seen};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem, touches};
use crate::motion::{Move, apply};
use crate::plan::{Plan, PlannerNote, Status};
use crate::schedule::{Heading, moves_of_trips, quickly_side_by_side};
use crate::search::braced;
use crate::search::trips::trip_goal::TripGoal;
use crate::travel::Trip;

/// Moves of one module between two rests.
struct Leg {
    module: ModuleId,
    moves: Vec<Move>,
}

/// A place nearer than this is reached, in metres.
const THERE_M: f64 = 1e-8;
/// How far places may follow the hosts that are really there, in metres: only the ratio to others matters.
const PLAY_M: f64 = 1e-3;

/// A plan for `actual` that makes the trips of a plan for `planned`, a problem of the same crew that begins elsewhere; checked. `None` where some trip
/// cannot be made, the result breaks a rule, or the interrupt says stop.
pub(super) fn refit(
    actual: &Problem,
    planned: &Problem,
    plan: &Plan,
    interrupt: Interrupt<'_>,
) -> Option<Plan> {
    let budget = Budget { interrupt, ..Budget::unlimited() };
    let (mut there, mut now) = (planned.start.clone(), braced(actual, &actual.start));
    let mut trips: Vec<Trip> = Vec::new();
    for leg in legs(plan) {
        let carries = there.is_stood_on(leg.module);
        there = made(planned, there, &leg)?;
        let goal = if carries {
            let moves = leg.moves.iter().copied().filter(Move::sweeps).collect();
            TripGoal::Carry { module: leg.module, moves }
        } else {
            let place = fitted(actual, &now, &there, leg.module)?;
            let here = now.get(leg.module);
            if here.host == place.host && here.position.distance(place.position) < THERE_M {
                continue;
            }
            TripGoal::Go { module: leg.module, host: place.host, position: place.position }
        };
        let done = goal.run(actual, &now, &budget).ok()??;
        trips.push(done.trip);
        now = done.after;
    }
    let planner = PlannerNote::new("refit", plan.planner.seed);
    let heading = Heading { planner, status: Status::Solved, lower_bound_s: 0.0 };
    let moves = moves_of_trips(actual, &trips).ok()?;
    let timed = quickly_side_by_side(actual, &moves, &heading, interrupt).ok()?;
    let (plan, report) = completed(actual, timed)?;
    report.is_sound().then_some(plan)
}

/// The legs of a plan in the order of their starts. A module's next move belongs to the same leg where it waits for none but its own.
fn legs(plan: &Plan) -> Vec<Leg> {
    let mut order: Vec<usize> = (0..plan.steps.len()).collect();
    order.sort_by(|&a, &b| plan.steps[a].start_s.total_cmp(&plan.steps[b].start_s));
    let mut legs: Vec<Leg> = Vec::new();
    for index in order {
        let step = &plan.steps[index];
        if matches!(step.action, Move::Brace | Move::Release) {
            continue;
        }
        let own = |before: &usize| plan.steps[*before].module == step.module;
        let begins_alone = step.after.iter().all(own);
        let last = legs.iter().rposition(|leg| leg.module == step.module);
        match last {
            // Only the moves of others that began since could mind.
            Some(at) if begins_alone && at + 1 == legs.len() => legs[at].moves.push(step.action),
            _ => legs.push(Leg { module: step.module, moves: vec![step.action] }),
        }
    }
    legs
}

/// The configuration after a leg as planned, with the holds as they were.
fn made(problem: &Problem, mut there: Configuration, leg: &Leg) -> Option<Configuration> {
    let hold = there.get(leg.module).hold;
    there.get_mut(leg.module).hold = Hold::Rolling;
    for action in &leg.moves {
        there = apply(problem, &there, leg.module, action).ok()?;
    }
    there.get_mut(leg.module).hold = hold;
    Some(there)
}

/// The place of a module nearest to its planned one, on its planned host where that really is, touching what it was to touch.
fn fitted(
    actual: &Problem,
    now: &Configuration,
    there: &Configuration,
    module: ModuleId,
) -> Option<Placement> {
    let planned = *there.get(module);
    let mut near = now.clone();
    *near.get_mut(module) = planned;
    let seen: Vec<Seen> = near
        .iter()
        .map(|(id, place)| Seen {
            position: place.position,
            orientation: place.orientation,
            position_m: if id == module { PLAY_M } else { 0.0 },
            angle_rad: f64::INFINITY,
        })
        .collect();
    let pairs: Vec<(ModuleId, Body)> = touches(actual, there)
        .iter()
        .filter(|touch| touch.module == module || touch.other == Body::Module(module))
        .map(|touch| (touch.module, touch.other))
        .collect();
    let fit = |touching: &[(ModuleId, Body)]| {
        Nearest { problem: actual, near: &near, seen: &seen, touching }.find()
    };
    let found = fit(&pairs).or_else(|| fit(&[]))?;
    Some(*found.get(module))
}
