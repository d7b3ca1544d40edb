//! Verifies an overloaded bond of the final shape by summing the weights above it.

use super::inside::nominal;
use crate::math::{DVec3, sin_cos, tolerance};
use crate::model::{Body, Hold, ModuleId, Problem, SlotId, SlotPlace};
use crate::search::impossible::overloaded::is_whole_crew_of_one_kind;

/// Whether a slot's bond peels in some direction of gravity, wherever the modules are within their tolerance.
///
/// Takes moments about the sole for each module above, each reduced by the largest error of its lever, with the normal force at its maximum.
pub(super) fn fails(problem: &Problem, slot: SlotId) -> bool {
    if !is_whole_crew_of_one_kind(problem) || touching(problem) {
        return false;
    }
    let kind = problem.kind(ModuleId(0));
    let up = |id: SlotId| match problem.goal.slots[id.index()].place {
        SlotPlace::OnGround(..) => DVec3::Z,
        SlotPlace::OnSlot(_, toward) => toward,
    };
    let off = 1.01 * tolerance::SLOT_M;
    let apart = kind.shell_radius_m + kind.ride_height_m;
    // Between two centres that are off nothing is off by more; beyond them, by what the line through them turns.
    let beyond = [kind.com_height_m, -kind.com_height_m - apart].into_iter().fold(0.0, f64::max);
    let turned = 2.0 * off / apart;
    let sole = nominal(problem, slot) - up(slot) * kind.ride_height_m;
    let payload = problem.modules.iter().map(|m| m.payload_kg).fold(f64::INFINITY, f64::min);
    let mut weights: Vec<(f64, DVec3)> = Vec::new();
    for (index, above) in problem.goal.slots.iter().enumerate() {
        let id = SlotId::at(index);
        if stands_on(problem, id, slot) {
            let centre = nominal(problem, id) - sole;
            weights.push((kind.mass_kg, centre + up(id) * kind.com_height_m));
            weights.push((payload + above.payload_kg, centre));
        }
    }
    let host = match problem.goal.slots[slot.index()].place {
        SlotPlace::OnGround(deck, _) => Body::Ground(deck),
        SlotPlace::OnSlot(below, _) => Body::Module(ModuleId(below.0)),
    };
    let tilt = if host.ground().is_some() { 0.0 } else { turned };
    let holds = problem.counted_adhesion_n(ModuleId(0), host, Hold::Braced) / problem.limits.hold_factor;
    let (sway_sin, sway_cos) = sin_cos(problem.limits.sway_rad);
    let tilted = (0..8).map(|k| {
        let (y, x) = sin_cos(f64::from(k) * std::f64::consts::FRAC_PI_4);
        DVec3::new(sway_sin * x, sway_sin * y, -sway_cos)
    });
    std::iter::once(DVec3::NEG_Z).chain(tilted).any(|down| {
        let normal = up(slot);
        let mass: f64 = weights.iter().map(|w| w.0).sum();
        let weight = mass * problem.site.gravity_mps2;
        let moment: DVec3 =
            weights.iter().map(|(m, lever)| lever.cross(down) * *m * problem.site.gravity_mps2).sum();
        let all: f64 = weights.iter().map(|(m, lever)| m * lever.length() * problem.site.gravity_mps2).sum();
        let in_plane = moment - normal * moment.dot(normal);
        let lever_off = off + off + turned * beyond;
        let least_moment = in_plane.length() - weight * lever_off - (all + weight * lever_off) * tilt;
        let most_normal = -weight * down.dot(normal) + weight * tilt;
        least_moment / kind.peel_radius_m - most_normal > holds
    })
}

/// Whether a slot is another or stands on it, directly or not.
fn stands_on(problem: &Problem, id: SlotId, below: SlotId) -> bool {
    let mut here = Some(id);
    while let Some(slot) = here {
        if slot == below {
            return true;
        }
        here = match problem.goal.slots[slot.index()].place {
            SlotPlace::OnSlot(host, _) => Some(host),
            SlotPlace::OnGround(..) => None,
        };
    }
    false
}

/// Whether any two bodies might touch: bodies nearer than the touch tolerance plus the play of two slots.
fn touching(problem: &Problem) -> bool {
    let radius = problem.kind(ModuleId(0)).shell_radius_m;
    let room = problem.limits.touch_tol_m + 2.0 * tolerance::SLOT_M;
    let slots: Vec<SlotId> = (0..problem.goal.slots.len()).map(SlotId::at).collect();
    let host = |id: SlotId| problem.goal.slots[id.index()].place;
    slots.iter().any(|&a| {
        let place = nominal(problem, a);
        let beside = slots.iter().filter(|&&b| b != a).any(|&b| {
            let bonded = [(a, b), (b, a)]
                .iter()
                .any(|&(child, on)| matches!(host(child), SlotPlace::OnSlot(below, _) if below == on));
            !bonded && place.distance(nominal(problem, b)) < 2.0 * radius + room
        });
        let by_deck = problem.ground_ids().any(|deck| {
            let stands = matches!(host(a), SlotPlace::OnGround(on, _) if on == deck);
            !stands && problem.distance_to_ground(deck, place) < radius + room
        });
        beside || by_deck
    })
}
