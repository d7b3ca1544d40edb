//! Verifies the simple proofs.

use super::inside::nominal;
use crate::math::{acos, tolerance};
use crate::model::{Body, ModuleId, Problem, Slot, SlotPlace};
use crate::search::impossible::Impossible;

/// Whether one of the simple proofs holds.
pub(super) fn holds(proof: &Impossible, problem: &Problem) -> bool {
    let goal = &problem.goal;
    let play = 2.0 * tolerance::SLOT_M;
    let one_size = problem.is_one_size();
    let radius = problem.kinds.iter().map(|k| k.shell_radius_m).fold(f64::INFINITY, f64::min);
    match *proof {
        Impossible::TooFewToGather { .. } => goal.gather.is_some_and(|g| g.count > problem.modules.len()),
        Impossible::NoAssignment => !can_all_be_filled(problem),
        Impossible::SlotsOverlap { a, b, .. } => {
            one_size && a != b && nominal(problem, a).distance(nominal(problem, b)) < 2.0 * radius - play
        }
        Impossible::SlotInSolid { slot, deck } => {
            let place = nominal(problem, slot);
            let nearest = problem.nearest_on_ground(deck, place);
            one_size && nearest.distance(place) < radius - play
        }
        Impossible::SlotOverEdge { slot } => match goal.slots[slot.index()].place {
            SlotPlace::OnGround(deck, at) => {
                let solid = problem.ground(deck);
                let at = solid.plane.coordinates(solid.plane.under(at));
                let foot = problem.kinds.iter().map(|k| k.foot_radius_m).fold(f64::INFINITY, f64::min);
                let to_edge = solid.edges().map(|(a, b)| {
                    let share = ((at - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
                    a.lerp(b, share).distance(at)
                });
                !super::decks::winding(solid.edges(), at)
                    || to_edge.fold(f64::INFINITY, f64::min) < foot - play
            }
            SlotPlace::OnSlot(..) => false,
        },
        Impossible::SlotBeyondReach { slot, .. } => match goal.slots[slot.index()].place {
            SlotPlace::OnSlot(below, toward) => {
                let up = match goal.slots[below.index()].place {
                    SlotPlace::OnGround(ground, _) => problem.ground(ground).plane.normal,
                    SlotPlace::OnSlot(_, up) => up,
                };
                let reach = problem.kinds.iter().map(|k| k.shell_reach_rad).fold(0.0, f64::max);
                acos(up.dot(toward).clamp(-1.0, 1.0)) > reach + play / radius
            }
            SlotPlace::OnGround(..) => false,
        },
        Impossible::StuckElsewhere { slot, module } => {
            let asked = &goal.slots[slot.index()];
            let place = problem.start.get(module);
            let on_deck = place.host.ground();
            let there = matches!(asked.place, SlotPlace::OnGround(deck, at)
                if on_deck == Some(deck) && problem.sole_from_above(deck, place).distance(at) <= tolerance::SLOT_M);
            let stuck = problem.modules[module.index()].stuck && matches!(place.host, Body::Ground(_));
            asked.module == Some(module) && stuck && !there
        }
        _ => false,
    }
}

/// Whether all slots can be filled at once, each by a module of its own: augmenting paths (Kuhn's algorithm for bipartite matching).
fn can_all_be_filled(problem: &Problem) -> bool {
    let mut slot_of: Vec<Option<usize>> = vec![None; problem.modules.len()];
    (0..problem.goal.slots.len()).all(|slot| {
        let mut asked = vec![false; problem.modules.len()];
        place_slot(problem, &problem.goal.slots, slot, &mut slot_of, &mut asked)
    })
}

fn place_slot(
    problem: &Problem,
    slots: &[Slot],
    slot: usize,
    slot_of: &mut [Option<usize>],
    asked: &mut [bool],
) -> bool {
    problem.module_ids().map(ModuleId::index).any(|m| {
        if asked[m] || !problem.slot_takes(&slots[slot], ModuleId::at(m)) {
            return false;
        }
        asked[m] = true;
        let free = slot_of[m].is_none_or(|other| place_slot(problem, slots, other, slot_of, asked));
        if free {
            slot_of[m] = Some(slot);
        }
        free
    })
}
