//! Goals that are inconsistent by themselves: too many slots, slots in walls, overlapping slots, slots out of reach.

use super::Impossible;
use crate::math::{DVec3, angle_between, tolerance};
use crate::model::{Body, Problem, SlotId, SlotPlace};
use crate::search::guidance::assignment::Targets;

/// Twice the slot tolerance, in metres: two modules in their slots may be nearer than their slots by this much.
const PLAY_M: f64 = 2.0 * tolerance::SLOT_M;

/// More modules or slots asked for than there are modules.
pub(super) fn counts(problem: &Problem) -> Option<Impossible> {
    if let Some(gather) = problem.goal.gather
        && gather.count > problem.modules.len()
    {
        return Some(Impossible::TooFewToGather { crew: problem.modules.len(), asked: gather.count });
    }
    let none =
        !problem.goal.slots.is_empty() && Targets::new(problem).assign(problem, &problem.start).is_none();
    none.then_some(Impossible::NoAssignment)
}

/// Nominal places of all slots; they do not depend on the assignment if all modules are of one size.
pub(super) fn places(problem: &Problem) -> Vec<DVec3> {
    Targets::new(problem).all_places().collect()
}

/// Slots where no module can be. All modules must be of one size.
pub(super) fn geometry(problem: &Problem) -> Option<Impossible> {
    let radius = problem.kinds.first()?.shell_radius_m;
    let foot = problem.kinds.iter().map(|k| k.foot_radius_m).fold(f64::INFINITY, f64::min);
    let places = places(problem);
    for (index, place) in places.iter().enumerate() {
        let slot = SlotId::at(index);
        for deck in problem.ground_ids() {
            if problem.distance_to_ground(deck, *place) < radius - PLAY_M {
                return Some(Impossible::SlotInSolid { slot, deck });
            }
        }
        match problem.goal.slots[index].place {
            SlotPlace::OnGround(deck, _) if problem.ground(deck).inset(*place) < foot - PLAY_M => {
                return Some(Impossible::SlotOverEdge { slot });
            }
            SlotPlace::OnGround(..) => {}
            SlotPlace::OnSlot(below, toward) => {
                let up = up_of(problem, below);
                let limit_rad = problem.kinds.iter().map(|k| k.shell_reach_rad).fold(0.0, f64::max);
                let angle_rad = angle_between(up, toward);
                if angle_rad > limit_rad + TILT_RADII * PLAY_M / radius {
                    return Some(Impossible::SlotBeyondReach { slot, angle_rad, limit_rad });
                }
            }
        }
        for (other, beside) in places.iter().enumerate().skip(index + 1) {
            let (apart_m, needed_m) = (place.distance(*beside), 2.0 * radius);
            if apart_m < needed_m - PLAY_M {
                return Some(Impossible::SlotsOverlap { a: slot, b: SlotId::at(other), apart_m, needed_m });
            }
        }
    }
    None
}

/// Upper bound on the change of an angle to a slot's axis, in shell radii of displacement. The host's axis and the direction to the guest each tilt
/// by at most twice the slot tolerance over a bond, which is two radii long or more.
const TILT_RADII: f64 = 1.1;

/// Body z of a slot's filler in its nominal place.
pub(super) fn up_of(problem: &Problem, slot: SlotId) -> DVec3 {
    match problem.goal.slots[slot.index()].place {
        SlotPlace::OnGround(ground, _) => problem.ground(ground).plane.normal,
        SlotPlace::OnSlot(_, toward) => toward,
    }
}

/// A stuck module on a deck never moves: nothing can carry it.
pub(super) fn stuck_elsewhere(problem: &Problem) -> Option<Impossible> {
    problem.goal.slots.iter().enumerate().find_map(|(index, slot)| {
        let module = slot.module.filter(|m| problem.modules[m.index()].stuck)?;
        let place = problem.start.get(module);
        place.host.ground()?;
        let there = match slot.place {
            SlotPlace::OnGround(deck, at) => {
                place.host == Body::Ground(deck)
                    && problem.sole_from_above(deck, place).distance(at) <= tolerance::SLOT_M
            }
            SlotPlace::OnSlot(..) => false,
        };
        (!there).then_some(Impossible::StuckElsewhere { slot: SlotId::at(index), module })
    })
}
