//! A scattered crew forms a machine, walks as one, and is taken apart where the goal wants its modules.

use super::reason::{NoWalk, Part};
use super::tops::middle;
use crate::control::{Budget, Stopped};
use crate::math::{DVec2, DVec3, asin, sin_cos};
use crate::model::{Body, Configuration, Goal, GroundId, Kind, ModuleId, Placement, Problem, SlotPlace};
use crate::plan::Status;
use crate::search::guidance::shape_goal::shape_as_slots;
use crate::search::planner::Task;
use crate::search::planners::TakingApart;
use crate::search::trips::successors::after_trip;
use crate::search::{Outcome, Planner};
use crate::travel::Trip;
use std::f64::consts::TAU;

/// Fewest modules of a machine: a hub and three legs of two.
const FEWEST: usize = 7;
/// Sine of the elevation of hosts over the hub's centre.
const RAISED: f64 = 0.14;
/// Most machines that are tried, and configurations that one search to form it or take it apart may expand.
const MACHINES: usize = 36;
const EXPANSIONS: u64 = 48;
/// Directions of the machine that are tried.
const TURNS: usize = 12;
/// Steps by which places farther from the edge are tried, in radii, and how many.
const STEP_RADII: f64 = 1.0;
const STEPS: usize = 12;

/// Whether the crew stands on ground from which no module drives or hops to where the goal wants it, and is large enough for a machine.
pub(super) fn applies(problem: &Problem) -> bool {
    ends(problem).is_ok()
}

/// The ground that the crew stands on, and that on which the goal wants it.
fn ends(problem: &Problem) -> Result<[GroundId; 2], NoWalk> {
    let modules = problem.modules.len();
    if modules < FEWEST || modules.is_multiple_of(2) {
        return Err(NoWalk::NoMachine);
    }
    let goal = &problem.goal;
    if goal.gather.is_some() || goal.slots.len() != modules {
        return Err(NoWalk::OtherGoal);
    }
    let mut from = problem.start.iter().filter_map(|(_, place)| place.host.ground());
    let mut to = goal.slots.iter().filter_map(|slot| match slot.place {
        SlotPlace::OnGround(ground, _) => Some(ground),
        SlotPlace::OnSlot(..) => None,
    });
    let (Some(first), Some(last)) = (from.next(), to.next()) else { return Err(NoWalk::NoMachine) };
    let is_alone = from.all(|ground| ground == first) && to.all(|ground| ground == last);
    if is_alone && !problem.are_linked(first, last) { Ok([first, last]) } else { Err(NoWalk::OtherGoal) }
}

/// Why there are no trips, and what stopped the search for them, if something did.
pub(super) type Unsolved = (NoWalk, Option<Stopped>);

/// Trips from the scattered crew to the scattered goal.
pub(super) fn search(task: &Task<'_>, walk: &dyn Fn(&Task<'_>) -> Outcome) -> Result<Vec<Trip>, Unsolved> {
    let problem = task.problem;
    let [from, to] = ends(problem).map_err(|reason| (reason, None))?;
    let middles = [from, to].map(|ground| middle(problem.ground(ground)));
    let ahead = (middles[1] - middles[0]).try_normalize().ok_or((NoWalk::OtherGoal, None))?;
    let few = Budget { expansions: EXPANSIONS.min(task.budget.expansions), ..*task.budget };
    let mut reason = NoWalk::NoSite;
    for machine in machines(problem, from, ahead).take(MACHINES) {
        let mission = Mission { task, few: &few, to, ahead, walk };
        match mission.by(&machine) {
            Ok(trips) => return Ok(trips),
            // The one that gets farthest counts.
            Err(why) if why.reached() >= reason.reached() => reason = why,
            Err(_) => {}
        }
        if let Some(stop) = task.budget.interrupt.asked() {
            return Err((reason, Some(stop)));
        }
    }
    Err((reason, None))
}

/// A crew on its way as a machine.
struct Mission<'a> {
    task: &'a Task<'a>,
    /// The limits for a look at one machine.
    few: &'a Budget<'a>,
    to: GroundId,
    ahead: DVec2,
    walk: &'a dyn Fn(&Task<'_>) -> Outcome,
}

impl Mission<'_> {
    /// By one machine: it is formed, walks, and comes apart. That it does come apart is seen before it walks.
    fn by(&self, machine: &Configuration) -> Result<Vec<Trip>, NoWalk> {
        let goal = &self.task.problem.goal;
        let take_apart =
            |problem: &Problem| TakingApart.search(&Task { problem, budget: self.few, ..*self.task });
        let mut now = self.task.problem.clone();
        let mut trips = Vec::new();
        now.goal = Goal { slots: shape_as_slots(&now, machine), gather: None };
        let outcome = take_apart(&now);
        follow(&mut now, &mut trips, outcome, Part::Form)?;
        let mut apart = NoWalk::NoSite;
        let mut comes_apart = |there: &Configuration| {
            let mut last = now.clone();
            (last.start, last.goal) = (there.clone(), goal.clone());
            let outcome = take_apart(&last);
            follow(&mut last, &mut Vec::new(), outcome, Part::ComeApart).map_err(|why| apart = why).is_ok()
        };
        let there = machines(&now, self.to, -self.ahead).find(|there| comes_apart(there));
        let Some(there) = there else { return Err(apart) };
        now.goal = Goal { slots: shape_as_slots(&now, &there), gather: None };
        let outcome = (self.walk)(&Task { problem: &now, ..*self.task });
        follow(&mut now, &mut trips, outcome, Part::Walk)?;
        now.goal = goal.clone();
        let outcome = take_apart(&now);
        follow(&mut now, &mut trips, outcome, Part::ComeApart)?;
        Ok(trips)
    }
}

/// Goes on from where trips lead; why not, if they do not reach their goal.
fn follow(now: &mut Problem, trips: &mut Vec<Trip>, outcome: Outcome, part: Part) -> Result<(), NoWalk> {
    let failed = |note: String| NoWalk::Part { part, note };
    if outcome.status != Status::Solved {
        let otherwise = if outcome.stop.is_some() { "it was given up" } else { "nothing was found" };
        return Err(failed(outcome.note.unwrap_or_else(|| otherwise.to_owned())));
    }
    for trip in outcome.trips {
        let after = after_trip(now, &now.start, &trip);
        now.start = after.ok_or_else(|| failed("a trip is gone".to_owned()))?;
        trips.push(trip);
    }
    Ok(())
}

/// Machines on a ground as near as possible to the side in a direction, all of whose feet and ends stand on it. Where the crew is a machine already, it
/// keeps its shape: only its place changes.
fn machines<'a>(
    problem: &'a Problem,
    ground: GroundId,
    towards: DVec2,
) -> impl Iterator<Item = Configuration> + 'a {
    let hub = problem.module_ids().find(|&id| problem.start.carried_with(id).len() == problem.modules.len());
    let onto = problem.ground(ground);
    let radius_m =
        problem.modules.iter().map(|m| problem.kinds[m.kind.index()].shell_radius_m).fold(0.0, f64::max);
    let centre = middle(onto);
    let far_m = onto.outline.corners().map(|corner| (corner - centre).dot(towards)).fold(0.0, f64::max);
    let steps = (0..STEPS).map(move |step| far_m - (4.0 + STEP_RADII * step as f64) * radius_m);
    let turns = if hub.is_some() { 1 } else { TURNS };
    steps.flat_map(move |off_m| (0..turns).map(move |turn| (centre + towards * off_m, turn))).filter_map(
        move |(at, turn)| {
            let shape = match hub {
                Some(hub) => shifted(problem, hub, ground, at),
                None => standing(problem, ground, at, TAU / 3.0 * turn as f64 / TURNS as f64)?,
            };
            let stands = shape.iter().all(|(id, place)| {
                let kind = problem.kind(id);
                onto.inset(place.position) >= kind.foot_radius_m
                    && onto.plane.above(place.position) >= kind.shell_radius_m - 1e-7
            });
            stands.then_some(shape)
        },
    )
}

/// The crew with its hub at another place.
fn shifted(problem: &Problem, hub: ModuleId, ground: GroundId, at: DVec2) -> Configuration {
    let mut shape = problem.start.clone();
    let place = problem.ground(ground).stand(at, problem.kind(hub).ride_height_m);
    let shift = place - problem.start.get(hub).position;
    problem.module_ids().for_each(|id| shape.get_mut(id).position += shift);
    shape.get_mut(hub).host = Body::Ground(ground);
    shape
}

/// Legs of two around a hub, with their ends on the ground.
fn standing(problem: &Problem, ground: GroundId, at: DVec2, turn_rad: f64) -> Option<Configuration> {
    let onto = problem.ground(ground);
    let ids: Vec<ModuleId> = problem.module_ids().collect();
    let hub = *ids.first()?;
    let legs = (ids.len() - 1) / 2;
    let mut places: Vec<Placement> = problem.start.iter().map(|(_, place)| *place).collect();
    places[0] = Placement::on_ground(ground, onto, problem.kind(hub), at, None).ok()?;
    for leg in 0..legs {
        let (sin, cos) = sin_cos(turn_rad + TAU * leg as f64 / legs as f64);
        let [host, end] = [ids[2 * leg + 1], ids[2 * leg + 2]];
        let toward = |sine: f64| {
            let level = sin_cos(asin(sine)).1;
            DVec3::new(level * cos, level * sin, sine)
        };
        let on = |below: ModuleId, centre: DVec3, kind: &Kind, sine: f64| {
            Placement::on_shell(below, centre, problem.kind(below), kind, toward(sine), Some(DVec3::Z)).ok()
        };
        places[host.index()] = on(hub, places[0].position, problem.kind(host), RAISED)?;
        let (centre, kind) = (places[host.index()].position, problem.kind(end));
        let down_m = centre.z - onto.height_m() - kind.shell_radius_m;
        let sine = -down_m / kind.standing_distance(problem.kind(host));
        places[end.index()] = on(host, centre, kind, sine.clamp(-1.0, 0.0))?;
    }
    Some(Configuration::new(places))
}
