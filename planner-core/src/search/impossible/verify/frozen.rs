//! Verifies proofs about modules that keep their hosts: from the decks up, by the trees of who stands on whom.

use crate::math::tolerance;
use crate::model::{Body, GroundId, Hold, ModuleId, Problem, SlotId, SlotPlace};

/// The ground below every module that keeps its host, and the number of modules between; `None` for those that can leave.
fn kept(problem: &Problem) -> Vec<Option<(GroundId, usize)>> {
    let mut kept = vec![None; problem.modules.len()];
    let grounds = problem.ground_ids();
    for ground in grounds {
        for root in problem.start.standing_on(Body::Ground(ground)) {
            visit(problem, root, (ground, 0), &mut kept);
        }
    }
    kept
}

/// Visits a module and all above it; returns whether it can never leave its host.
fn visit(
    problem: &Problem,
    module: ModuleId,
    (ground, depth): (GroundId, usize),
    kept: &mut [Option<(GroundId, usize)>],
) -> bool {
    let own = &problem.modules[module.index()];
    let mut stays = own.stuck || own.lost.drive;
    let riders: Vec<ModuleId> = problem.start.standing_on(Body::Module(module)).collect();
    for rider in riders {
        stays |= visit(problem, rider, (ground, depth + 1), kept);
    }
    kept[module.index()] = stays.then_some((ground, depth));
    stays
}

/// Whether a slot can be filled by a module, with the place of those that keep their hosts.
fn fills(problem: &Problem, kept: &[Option<(GroundId, usize)>], slot: usize, module: ModuleId) -> bool {
    let asked = &problem.goal.slots[slot];
    let own = &problem.modules[module.index()];
    if asked.module.is_some_and(|m| m != module) || asked.kind.is_some_and(|k| k != own.kind) {
        return false;
    }
    let hold = problem.start.get(module).hold;
    if asked.hold.is_some_and(|h| (own.stuck && h != hold) || (own.lost.cup && h == Hold::Braced)) {
        return false;
    }
    if problem.module_ids().any(|m| m != module && stays_in(problem, slot, m)) {
        return false;
    }
    let Some(has) = kept[module.index()] else { return true };
    let (mut depth, mut place) = (0, asked.place);
    while let SlotPlace::OnSlot(below, _) = place {
        depth += 1;
        place = problem.goal.slots[below.index()].place;
    }
    let SlotPlace::OnGround(ground, _) = place else { return false };
    let moves = !(own.stuck || own.lost.drive);
    let at = problem.start.get(module).position.truncate();
    let is_there = match asked.place {
        SlotPlace::OnGround(_, asked) => at.distance(asked) <= tolerance::SLOT_M,
        SlotPlace::OnSlot(..) => true,
    };
    has == (ground, depth) && (depth > 0 || moves || is_there)
}

/// Whether a module that cannot drive stands on the ground in a slot's place.
fn stays_in(problem: &Problem, slot: usize, module: ModuleId) -> bool {
    let (own, place) = (&problem.modules[module.index()], problem.start.get(module));
    let SlotPlace::OnGround(ground, at) = problem.goal.slots[slot].place else { return false };
    (own.stuck || own.lost.drive)
        && place.host == Body::Ground(ground)
        && (place.position.truncate() - at).length() <= tolerance::SLOT_M
}

/// Whether a module stays in the place of a slot that must be filled and does not take it so.
pub(super) fn is_wrongly_taken(problem: &Problem, slot: SlotId, module: ModuleId) -> bool {
    let asked = &problem.goal.slots[slot.index()];
    let own = &problem.modules[module.index()];
    let other = asked.module.is_some_and(|m| m != module) || asked.kind.is_some_and(|k| k != own.kind);
    let keeps_hold = asked.hold.is_some_and(|hold| own.stuck && hold != problem.start.get(module).hold);
    let no_cup = own.lost.cup && asked.hold == Some(Hold::Braced);
    !asked.optional && stays_in(problem, slot.index(), module) && (other || keeps_hold || no_cup)
}

/// Whether not all slots can be filled at once: augmenting paths.
pub(super) fn some_slot_stays_empty(problem: &Problem) -> bool {
    let kept = kept(problem);
    let mut slot_of: Vec<Option<usize>> = vec![None; problem.modules.len()];
    !(0..problem.goal.slots.len()).all(|slot| {
        let mut asked = vec![false; problem.modules.len()];
        take(problem, &kept, slot, &mut slot_of, &mut asked)
    })
}

fn take(
    problem: &Problem,
    kept: &[Option<(GroundId, usize)>],
    slot: usize,
    slot_of: &mut [Option<usize>],
    asked: &mut [bool],
) -> bool {
    (0..slot_of.len()).any(|m| {
        if asked[m] || !fills(problem, kept, slot, ModuleId::at(m)) {
            return false;
        }
        asked[m] = true;
        let free = slot_of[m].is_none_or(|other| take(problem, kept, other, slot_of, asked));
        if free {
            slot_of[m] = Some(slot);
        }
        free
    })
}

/// Whether too few modules can come to the deck to gather on.
pub(super) fn too_few_can_gather(problem: &Problem) -> bool {
    let kept = kept(problem);
    let Some(gather) = problem.goal.gather else { return false };
    let never = problem
        .module_ids()
        .filter(|m| kept[m.index()].is_some_and(|(ground, depth)| ground != gather.ground || depth > 0));
    problem.modules.len() - never.count() < gather.count
}
