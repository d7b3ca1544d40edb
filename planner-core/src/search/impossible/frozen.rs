//! Goals that modules which never change their hosts stand in the way of.
//!
//! A module that is stuck or whose drive is lost never hops, and so neither does one that it stands on: what stands on it never leaves. All of them keep
//! their hosts for ever, though they may be carried along. So the depth of their chains of hosts and the ground below them stay what they are.

use super::Impossible;
use crate::math::tolerance;
use crate::model::{Body, GroundId, ModuleId, Problem, SlotId, SlotPlace};
use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// Whether a module keeps its host for ever.
pub(crate) fn is_frozen(problem: &Problem, module: ModuleId) -> bool {
    let start = &problem.start;
    let stays = |id: ModuleId| !problem.modules[id.index()].can_drive();
    start.carried_with(module).into_iter().any(stays)
}

/// Whether a module may come to fill a slot, as far as what it takes and its chain of hosts tell.
pub(crate) fn may_fill(problem: &Problem, slot: usize, module: ModuleId) -> bool {
    if !problem.slot_takes(&problem.goal.slots[slot], module) || !may_hold(problem, slot, module) {
        return false;
    }
    if taken_for_good(problem, slot).is_some_and(|other| other != module) {
        return false;
    }
    if !is_frozen(problem, module) {
        return true;
    }
    let place = problem.start.get(module);
    let hosts = problem.start.hosts_below(module);
    let depth = hosts.filter(|body| body.module().is_some()).count();
    let ground = problem.start.hosts_below(module).find_map(Body::ground);
    let (slot_ground, slot_depth) = chain_of(problem, slot);
    let stays_in_place = !problem.modules[module.index()].can_drive() && place.host.ground().is_some();
    let is_there = match problem.goal.slots[slot].place {
        SlotPlace::OnGround(ground, at) => {
            problem.sole_from_above(ground, place).distance(at) <= tolerance::SLOT_M
        }
        SlotPlace::OnSlot(..) => true,
    };
    Some(slot_ground) == ground && slot_depth == depth && (is_there || !stays_in_place)
}

/// Whether a module has, or can take, the hold that a slot asks for: a stuck one keeps its own.
fn may_hold(problem: &Problem, slot: usize, module: ModuleId) -> bool {
    let keeps = problem.modules[module.index()].stuck;
    problem.goal.slots[slot].hold.is_none_or(|asked| !keeps || asked == problem.start.get(module).hold)
}

/// The module that stands on a ground in a slot's place for ever, so that no other can be there.
fn taken_for_good(problem: &Problem, slot: usize) -> Option<ModuleId> {
    let SlotPlace::OnGround(ground, at) = problem.goal.slots[slot].place else { return None };
    problem.start.standing_on(Body::Ground(ground)).find(|&module| {
        let stays = !problem.modules[module.index()].can_drive();
        stays && problem.start.get(module).position.truncate().distance(at) <= tolerance::SLOT_M
    })
}

/// A slot in which a module stands for ever that the slot does not take, or not with the hold that it keeps.
fn wrongly_taken(problem: &Problem) -> Option<Impossible> {
    (0..problem.goal.slots.len()).filter(|&slot| !problem.goal.slots[slot].optional).find_map(|slot| {
        let module = taken_for_good(problem, slot)?;
        let takes = problem.slot_takes(&problem.goal.slots[slot], module) && may_hold(problem, slot, module);
        (!takes).then_some(Impossible::TakenForGood { slot: SlotId::at(slot), module })
    })
}

/// The ground of a slot's chain of slots, and the number of slots below it.
fn chain_of(problem: &Problem, slot: usize) -> (GroundId, usize) {
    let (mut place, mut depth) = (problem.goal.slots[slot].place, 0);
    loop {
        match place {
            SlotPlace::OnGround(ground, _) => return (ground, depth),
            SlotPlace::OnSlot(below, _) => {
                (place, depth) = (problem.goal.slots[below.index()].place, depth + 1)
            }
        }
    }
}

/// Whether all of some slots can be filled at once.
pub(crate) fn can_fill(problem: &Problem, slots: &[usize]) -> bool {
    let modules = problem.modules.len();
    if slots.is_empty() || slots.len() > modules {
        return slots.is_empty();
    }
    let misses = |(row, m): (usize, usize)| i64::from(!may_fill(problem, slots[row], ModuleId::at(m)));
    kuhn_munkres_min(&Matrix::from_fn(slots.len(), modules, misses)).0 == 0
}

/// Slots or a deck that too few modules can come to.
pub(super) fn stands_in_the_way(problem: &Problem) -> Option<Impossible> {
    let frozen: Vec<ModuleId> = problem.module_ids().filter(|m| is_frozen(problem, *m)).collect();
    if frozen.is_empty() {
        return None;
    }
    if let Some(taken) = wrongly_taken(problem) {
        return Some(taken);
    }
    let all: Vec<usize> = (0..problem.goal.slots.len()).collect();
    if !can_fill(problem, &all) {
        return Some(Impossible::KeepTheirHosts { frozen: frozen.len() });
    }
    let gather = problem.goal.gather?;
    let can_come =
        |m: ModuleId| !frozen.contains(&m) || problem.start.get(m).host == Body::Ground(gather.ground);
    let able = problem.module_ids().filter(|m| can_come(*m)).count();
    (able < gather.count).then_some(Impossible::TooFewCanGather { able, asked: gather.count })
}
