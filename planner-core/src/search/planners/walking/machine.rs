//! A machine that can stride: found from the shape that it has at the start and that the goal asks for.

use crate::geometry::{Path, least_inset};
use crate::math::{DVec2, DVec3};
use crate::model::{Body, Configuration, GroundId, ModuleId, Problem, SlotPlace};
use crate::motion::striding::ground_under;

/// A goal nearer than this needs no walk, in metres.
const NEAR_M: f64 = 1e-3;

/// A leg's end: a bare module that stands on another of the machine and touches the ground.
#[derive(Clone, Copy, Debug)]
pub(super) struct End {
    pub(super) id: ModuleId,
    pub(super) host: ModuleId,
    /// Which side of its host it is on, seen along the way: +1 left, −1 right.
    pub(super) side: f64,
    /// Its host's centre above the hub's centre, and ahead and left of it, in metres.
    pub(super) from_hub: DVec3,
    /// Distance between the centres, in metres.
    pub(super) standing_m: f64,
}

/// The machine, and where it has to go.
#[derive(Clone, Debug)]
pub(super) struct Machine {
    pub(super) hub: ModuleId,
    pub(super) ends: Vec<End>,
    /// The way to the goal, a unit vector, and its left.
    pub(super) ahead: DVec3,
    pub(super) left: DVec3,
    /// How far it is, in metres.
    pub(super) distance_m: f64,
    pub(super) to: GroundId,
    pub(super) radius_m: f64,
}

impl Machine {
    /// The machine of a crew whose goal is its own shape elsewhere; `None` if the crew is none, or the goal another.
    pub(super) fn of(problem: &Problem) -> Option<Self> {
        let start = &problem.start;
        let hub = problem.module_ids().find(|&id| start.carried_with(id).len() == problem.modules.len())?;
        start.get(hub).host.ground()?;
        let (to, at) = goal_of(problem, hub)?;
        let place = start.get(hub);
        let way = at - place.position.truncate();
        let distance_m = way.length();
        if distance_m < NEAR_M {
            return None;
        }
        let ahead = (way / distance_m).extend(0.0);
        let left = DVec3::Z.cross(ahead);
        let mut ends = Vec::new();
        for id in problem.module_ids() {
            let own = start.get(id);
            let Body::Module(host) = own.host else { continue };
            let module = &problem.modules[id.index()];
            let may_roll = !module.stuck && !module.lost.drive && !start.is_stood_on(id);
            if !may_roll || ground_under(problem, id, own, None).is_none() {
                continue;
            }
            let knee = start.get(host).position;
            let side = if (own.position - knee).dot(left) >= 0.0 { 1.0 } else { -1.0 };
            let off = knee - place.position;
            let from_hub = DVec3::new(off.dot(ahead), off.dot(left), off.z);
            let standing_m = problem.kind(id).standing_distance(problem.kind(host));
            ends.push(End { id, host, side, from_hub, standing_m });
        }
        let first = ends.first()?;
        let radius_m = problem.kind(first.id).shell_radius_m;
        let alike = |end: &End| (problem.kind(end.id).shell_radius_m - radius_m).abs() < 1e-9;
        (ends.len() >= 3 && ends.iter().all(alike)).then_some(Self {
            hub,
            ends,
            ahead,
            left,
            distance_m,
            to,
            radius_m,
        })
    }

    /// Whether the hub's foot can drive straight to the goal.
    pub(super) fn can_drive(&self, problem: &Problem) -> bool {
        let place = problem.start.get(self.hub);
        let foot_m = problem.kind(self.hub).foot_radius_m;
        let Some(ground) = place.host.ground().filter(|ground| *ground == self.to) else { return false };
        let way = Path::Line { from: place.position, step: self.ahead * self.distance_m };
        let ground = problem.ground(ground);
        least_inset(&way.in_frame(&ground.plane), &ground.outline, foot_m)
            .is_none_or(|(inset, _)| inset >= foot_m)
    }

    /// Where the hub's foot goes, seen from above, when it has come so far.
    pub(super) fn foot_at(&self, start: &Configuration, far_m: f64) -> DVec2 {
        (start.get(self.hub).position + self.ahead * far_m).truncate()
    }
}

/// Where the goal wants the hub, if it wants the shape of the start in the same heading.
fn goal_of(problem: &Problem, hub: ModuleId) -> Option<(GroundId, DVec2)> {
    let goal = &problem.goal;
    if goal.gather.is_some() || goal.slots.len() != problem.modules.len() {
        return None;
    }
    let on_ground: Vec<(GroundId, DVec2)> = goal
        .slots
        .iter()
        .filter_map(|slot| match slot.place {
            SlotPlace::OnGround(ground, at) => Some((ground, at)),
            SlotPlace::OnSlot(..) => None,
        })
        .collect();
    let [(ground, at)] = on_ground[..] else { return None };
    // The start, shifted: does it fill the slots?
    let place = problem.start.get(hub);
    let target = problem.ground(ground).stand(at, problem.kind(hub).ride_height_m);
    let shift = target - place.position;
    let places = problem.start.iter().map(|(id, place)| {
        let host = if id == hub { Body::Ground(ground) } else { place.host };
        crate::model::Placement { position: place.position + shift, host, ..*place }
    });
    let shifted = Configuration::new(places.collect());
    let filled = problem.fillers(&shifted);
    filled.iter().all(Option::is_some).then_some((ground, at))
}
