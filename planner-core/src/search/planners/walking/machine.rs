//! A machine that can stride: found from the shape that it has at the start and from that which the goal asks for.

use super::NoWalk;
use super::footholds::above;
use crate::control::uninterrupted;
use crate::geometry::{Path, least_inset};
use crate::math::{DVec2, DVec3, angle_between, heading_frame};
use crate::model::{
    Body, Configuration, GroundId, Hold, Kind, ModuleId, Placement, Problem, SlotId, SlotPlace,
};
use crate::motion::{Move, Stretch, apply};
use crate::search::braced;
use crate::statics::WarmStart;

/// A goal nearer than this needs no walk, in metres.
const NEAR_M: f64 = 1e-3;
/// Radii are one within this, in metres.
const SAME_M: f64 = 1e-9;
/// Fewest legs of a machine that walks.
const FEWEST: usize = 3;
/// Where an end is above its host, as for a stride: so many degrees from the host's foot.
const RAISED_DEG: f64 = 66.0;
/// A short drive, in metres.
const LITTLE_M: f64 = 1e-4;

/// How a host goes to another place on its base.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sets {
    /// With its end above it.
    Carrying,
    /// Bare: its end waits on the base.
    Bare,
}

/// A leg: a bare module, its host, and what the host stands on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Leg {
    pub(super) end: ModuleId,
    pub(super) host: ModuleId,
    pub(super) base: ModuleId,
    /// How the host can go to another place on its base, if it can: it carries nothing but this end.
    pub(super) sets: Option<Sets>,
    /// Distances between the centres of end and host, and of host and base, in metres.
    pub(super) end_m: f64,
    pub(super) host_m: f64,
}

/// The machine, and where it has to go.
#[derive(Clone, Debug)]
pub(super) struct Machine {
    pub(super) hub: ModuleId,
    pub(super) legs: Vec<Leg>,
    pub(super) radius_m: f64,
    pub(super) to: GroundId,
    /// The direction of the goal from the start, seen from above.
    pub(super) ahead: DVec2,
    /// Where each module has to be at the end.
    pub(super) goal: Vec<DVec3>,
}

impl Machine {
    /// The machine of a crew whose goal is its own shape elsewhere, but for the places of its legs.
    pub(super) fn of(problem: &Problem) -> Result<Self, NoWalk> {
        let start = &problem.start;
        let hub = problem.module_ids().find(|&id| start.carried_with(id).len() == problem.modules.len());
        let Some((hub, from)) = hub.and_then(|hub| Some((hub, start.get(hub).host.ground()?))) else {
            return Err(NoWalk::NoMachine);
        };
        let (to, goal) = goal_of(problem, hub).ok_or(NoWalk::OtherGoal)?;
        let legs = legs_of(problem, hub, problem.ground(from).height_m());
        let radius = |leg: &Leg| problem.kind(leg.end).shell_radius_m;
        let alike = |radius_m: f64| legs.iter().filter(move |leg| (radius(leg) - radius_m).abs() < SAME_M);
        let radii = legs.iter().map(radius);
        let radius_m = radii.max_by_key(|&radius_m| alike(radius_m).count()).unwrap_or_default();
        let legs: Vec<Leg> = alike(radius_m).copied().collect();
        if legs.len() < FEWEST {
            return Err(NoWalk::FewLegs { found: legs.len(), on_hub: bare_on(problem, hub) });
        }
        let way = (goal[hub.index()] - start.get(hub).position).truncate();
        let ahead = way.normalize_or(DVec2::X);
        let machine = Self { hub, legs, radius_m, to, ahead, goal };
        if machine.left_m(start) < NEAR_M {
            return Err(NoWalk::OtherGoal);
        }
        Ok(machine)
    }

    /// Finds out which hosts carry their ends up and down their bases, with the ends above them: others have to go bare.
    pub(super) fn settle_what_can_be_set(&mut self, problem: &Problem) {
        let limit = problem.limits.utilisation_to_plan_for();
        let carries = |leg: &Leg| {
            let mut there = braced(problem, &problem.start);
            let host = *there.get(leg.host);
            let Some(up) = above(host.up(), RAISED_DEG) else { return false };
            let end = there.get_mut(leg.end);
            end.position = host.position + up * leg.end_m;
            end.orientation = heading_frame(up, up.any_orthogonal_vector()).unwrap_or(end.orientation);
            there.get_mut(leg.host).hold = Hold::Rolling;
            let action = Move::Slide { travel_m: LITTLE_M, curvature_per_m: 0.0 };
            let Ok(after) = apply(problem, &there, leg.host, &action) else { return false };
            let stretch = Stretch::of_move(problem, &there, leg.host, &action, &after);
            uninterrupted(|interrupt| stretch.carries(limit, &mut WarmStart::default(), interrupt))
        };
        for leg in &mut self.legs {
            if leg.sets.is_some() && carries(leg) {
                leg.sets = Some(Sets::Carrying);
            }
        }
    }

    /// How far the hub has to go, in metres.
    pub(super) fn left_m(&self, now: &Configuration) -> f64 {
        now.get(self.hub).position.distance(self.goal[self.hub.index()])
    }

    /// Where the hub has to be, seen from above.
    pub(super) fn goal_at(&self) -> DVec2 {
        self.goal[self.hub.index()].truncate()
    }

    /// Whether the hub's foot can drive straight to the goal.
    pub(super) fn can_drive(&self, problem: &Problem) -> bool {
        let place = problem.start.get(self.hub);
        let foot_m = problem.kind(self.hub).foot_radius_m;
        let Some(ground) = place.host.ground().filter(|ground| *ground == self.to) else { return false };
        let way = Path::Line { from: place.position, step: self.goal[self.hub.index()] - place.position };
        let ground = problem.ground(ground);
        least_inset(&way.in_frame(&ground.plane), &ground.outline, foot_m)
            .is_none_or(|(inset, _)| inset >= foot_m)
    }
}

/// Bare modules on a module.
fn bare_on(problem: &Problem, host: ModuleId) -> usize {
    let start = &problem.start;
    start.standing_on(Body::Module(host)).filter(|&id| !start.is_stood_on(id)).count()
}

/// Legs: bare modules that can drive, on modules no higher over the ground than an end under them reaches.
fn legs_of(problem: &Problem, hub: ModuleId, ground_m: f64) -> Vec<Leg> {
    let start = &problem.start;
    let leg = |end: ModuleId| {
        let host = start.get(end).host.module().filter(|&host| host != hub)?;
        let base = start.get(host).host.module()?;
        let standing = |kind: &Kind, on: ModuleId| kind.standing_distance(problem.kind(on));
        let (end_m, host_m) = (standing(problem.kind(end), host), standing(problem.kind(host), base));
        let radius_m = problem.kind(end).shell_radius_m;
        let is_low = start.get(host).position.z - ground_m < radius_m + end_m;
        let own = &problem.modules[host.index()];
        let may_set = own.can_drive() && own.can_yaw() && start.standing_on(Body::Module(host)).count() == 1;
        let may_roll = problem.modules[end.index()].can_drive() && !start.is_stood_on(end);
        let sets = may_set.then_some(Sets::Bare);
        (may_roll && is_low).then_some(Leg { end, host, base, sets, end_m, host_m })
    };
    problem.module_ids().filter_map(leg).collect()
}

/// Where the goal wants each module, if it is the tree of bonds that there is at the start: every slot is filled by the module on the same host whose
/// direction is nearest.
fn goal_of(problem: &Problem, hub: ModuleId) -> Option<(GroundId, Vec<DVec3>)> {
    let goal = &problem.goal;
    if goal.gather.is_some() || goal.slots.len() != problem.modules.len() {
        return None;
    }
    let root = goal.slots.iter().position(|slot| matches!(slot.place, SlotPlace::OnGround(..)))?;
    let mut filler: Vec<Option<ModuleId>> = vec![None; goal.slots.len()];
    filler[root] = Some(hub);
    let SlotPlace::OnGround(ground, at) = goal.slots[root].place else { return None };
    let hub_at = problem.ground(ground).stand(at, problem.kind(hub).ride_height_m);
    let mut places: Vec<Placement> = problem.start.iter().map(|(_, place)| *place).collect();
    (places[hub.index()].position, places[hub.index()].host) = (hub_at, Body::Ground(ground));
    // Hosts come before the slots that stand on them.
    for below in 0..goal.slots.len() {
        let Some(host) = filler[below] else { continue };
        let above: Vec<(usize, DVec3)> = goal
            .slots
            .iter()
            .enumerate()
            .filter_map(|(index, slot)| match slot.place {
                SlotPlace::OnSlot(SlotId(on), toward) if usize::from(on) == below => Some((index, toward)),
                _ => None,
            })
            .collect();
        let centre = problem.start.get(host).position;
        let mut pairs: Vec<(f64, usize, DVec3, ModuleId)> = Vec::new();
        for id in problem.start.standing_on(Body::Module(host)) {
            let way = problem.start.get(id).position - centre;
            let fits = above.iter().filter(|(slot, _)| problem.slot_takes(&goal.slots[*slot], id));
            pairs.extend(fits.map(|&(slot, toward)| (angle_between(way, toward), slot, toward, id)));
        }
        pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (_, slot, toward, id) in pairs {
            if filler[slot].is_none() && !filler.contains(&Some(id)) {
                filler[slot] = Some(id);
                let standing_m = problem.kind(id).standing_distance(problem.kind(host));
                places[id.index()].position = places[host.index()].position + toward * standing_m;
            }
        }
    }
    let there = Configuration::new(places);
    let filled = problem.fillers(&there).iter().all(Option::is_some);
    filled.then(|| (ground, there.iter().map(|(_, place)| place.position).collect()))
}
