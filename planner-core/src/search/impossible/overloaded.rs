//! Final shapes that fail under every assignment: the whole crew is in slots, nothing touches, and some bond is over its capacity.
//!
//! A slot states its host, so the goal fixes the bond forest. Without touches the loads of its bonds follow from weight alone. Modules may deviate
//! from their places by the slot tolerance; the reduction of load that this allows is subtracted.

use super::Impossible;
use super::goal_shape::{places, up_of};
use crate::math::{DQuat, DVec3, heading_frame, tolerance};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem, SlotId, SlotPlace};
use crate::statics::{BondLoad, DIRECTIONS, LoadCase, gravity_directions};

/// A bond of the final shape that is over its capacity.
pub(super) fn overloaded(problem: &Problem) -> Option<Impossible> {
    if !is_whole_crew_of_one_kind(problem) {
        return None;
    }
    let places = places(problem);
    if may_touch(problem, &places) {
        return None;
    }
    let shape = shape(problem, &places);
    let lightest = lightest(problem);
    let filling: Vec<ModuleId> = problem.module_ids().collect();
    let mut case = LoadCase::new(&lightest, &shape, Vec::new());
    for (slot, &module) in problem.goal.slots.iter().zip(&filling) {
        case = case.with_payload(&shape, module, slot.payload_kg);
    }
    let directions = gravity_directions(problem.limits.sway_rad).map(|d| d * problem.site.gravity_mps2);
    // Bonds come hosts first; the bond with the largest excess is reported.
    let mut worst: Option<(f64, Impossible)> = None;
    for bond in &case.bonds {
        let give_n = give_n(problem, bond);
        for gravity in directions.iter().take(DIRECTIONS) {
            let demand = bond.demand_under(*gravity);
            let needs_n = demand.peel_n - give_n;
            let holds_n = bond.adhesion_n * problem.limits.utilisation();
            let missed_n = needs_n - holds_n;
            if missed_n > 0.0 && worst.as_ref().is_none_or(|(most, _)| missed_n > *most) {
                let slot = SlotId::at(bond.child.index());
                let governs = crate::statics::FailureMode::Peel;
                worst = Some((missed_n, Impossible::Overloaded { slot, governs, needs_n, holds_n }));
            }
        }
    }
    worst.map(|(_, proof)| proof)
}

/// Whether every module has to fill a slot, and all are alike but for their payloads.
pub(super) fn is_whole_crew_of_one_kind(problem: &Problem) -> bool {
    let slots = problem.goal.slots.len();
    let kind = problem.modules.first().map(|m| m.kind);
    slots == problem.modules.len() && slots > 0 && problem.modules.iter().all(|m| Some(m.kind) == kind)
}

/// Whether two bodies without a bond might touch in the final shape.
fn may_touch(problem: &Problem, places: &[DVec3]) -> bool {
    let radius = problem.kind(ModuleId(0)).shell_radius_m;
    let near = radius + problem.limits.touch_tol_m + 2.0 * tolerance::SLOT_M;
    places.iter().enumerate().any(|(index, place)| {
        let host = problem.goal.slots[index].place;
        let decks = problem.ground_ids().any(|deck| {
            !matches!(host, SlotPlace::OnGround(on, _) if on == deck)
                && problem.distance_to_ground(deck, *place) < near
        });
        decks
            || (0..index).any(|other| {
                let bonded = |slot: usize, on: usize| {
                    matches!(problem.goal.slots[slot].place, SlotPlace::OnSlot(below, _) if below.index() == on)
                };
                !bonded(index, other) && places[other].distance(*place) < near + radius
            })
    })
}

/// The shape with every module in the slot of the same index, braced.
fn shape(problem: &Problem, places: &[DVec3]) -> Configuration {
    let placed = places.iter().enumerate().map(|(index, &position)| {
        let up = up_of(problem, SlotId::at(index));
        let orientation =
            heading_frame(up, DVec3::X).or_else(|| heading_frame(up, DVec3::Y)).unwrap_or(DQuat::IDENTITY);
        let host = match problem.goal.slots[index].place {
            SlotPlace::OnGround(deck, _) => Body::Ground(deck),
            SlotPlace::OnSlot(below, _) => Body::Module(ModuleId(below.0)),
        };
        Placement { position, orientation, host, hold: Hold::Braced }
    });
    Configuration::new(placed.collect())
}

/// The scene with every module as light as the lightest.
fn lightest(problem: &Problem) -> Problem {
    let mut lightest = problem.clone();
    let least = problem.modules.iter().map(|m| m.payload_kg).fold(f64::INFINITY, f64::min);
    for module in &mut lightest.modules {
        module.payload_kg = least;
    }
    lightest
}

/// Greatest reduction, in newtons, of the adhesion that a bond needs when places vary within the slot tolerance.
///
/// Centres are off by at most ε. A sole, and a centre of mass below its shell's centre, lies between two centres, so it is off by no more; a centre of mass
/// that lies c beyond them by ε (1 + 2c/D). Levers change by the sum of the two. On a shell the normal is off by at most δ = 2ε/D; the moment in the foot's
/// plane also changes by the moment times δ, and so does the normal force. On the ground it is that of the ground.
fn give_n(problem: &Problem, bond: &BondLoad) -> f64 {
    let kind = problem.kind(ModuleId(0));
    let gravity = problem.site.gravity_mps2;
    let off = 1.01 * tolerance::SLOT_M;
    let between_m = kind.standing_distance(kind);
    let beyond_m = kind.com_height_m.max(-kind.com_height_m - between_m).max(0.0);
    let tilt = if bond.host.module().is_some() { 2.0 * off / between_m } else { 0.0 };
    let lever = off + off * (1.0 + 2.0 * beyond_m / between_m);
    let moment = gravity * (bond.mass_kg * lever * (1.0 + tilt) + bond.moment_kgm.length() * tilt);
    moment / kind.peel_radius_m + gravity * bond.mass_kg * tilt
}
