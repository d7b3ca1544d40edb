//! Slots to fill: which modules may be assigned to a slot, and which slots stand above it.

use crate::math::{DVec2, DVec3, can_match_all};
use crate::model::{Body, GroundId, ModuleId, Problem, Slot, SlotId, SlotPlace};

/// The bottleneck assignment: the least time within which all slots can be filled, where `time_s` is a lower bound for each pair. Infinite if some
/// slot cannot be assigned.
pub(super) fn bottleneck_s(problem: &Problem, time_s: impl Fn(usize, ModuleId) -> f64) -> f64 {
    let slots = problem.goal.slots.len();
    if slots == 0 {
        return 0.0;
    }
    if slots > problem.modules.len() {
        return f64::INFINITY;
    }
    let times: Vec<Vec<f64>> =
        (0..slots).map(|slot| problem.module_ids().map(|m| time_s(slot, m)).collect()).collect();
    let mut levels: Vec<f64> = times.iter().flatten().copied().filter(|t| t.is_finite()).collect();
    levels.sort_by(f64::total_cmp);
    let first = levels.partition_point(|&level| !assignable(&times, level));
    levels.get(first).copied().unwrap_or(f64::INFINITY)
}

/// Whether all slots can be filled by pairs of time at most `level`.
fn assignable(times: &[Vec<f64>], level: f64) -> bool {
    let takes = |row: &Vec<f64>| (0..row.len()).filter(|&m| row[m] <= level).collect();
    let takers: Vec<Vec<usize>> = times.iter().map(takes).collect();
    can_match_all(&takers, times[0].len())
}

/// For each slot, the duration of the last hops of the modules above it, along the longest chain.
pub(super) fn hops_above_s(problem: &Problem) -> Vec<f64> {
    let mut above = vec![0.0_f64; problem.goal.slots.len()];
    // Hosts come before those that stand on them.
    for (index, slot) in problem.goal.slots.iter().enumerate().rev() {
        if let SlotPlace::OnSlot(below, _) = slot.place {
            let takers = problem.module_ids().filter(|&m| problem.slot_takes(slot, m));
            let hop = |m: ModuleId| {
                if hop_needed(problem, &slot.place, problem.start.get(m).host) {
                    problem.kind(m).hop_time_s
                } else {
                    0.0
                }
            };
            let hop_s = takers.map(hop).fold(f64::INFINITY, f64::min);
            let chain = above[index] + if hop_s.is_finite() { hop_s } else { 0.0 };
            above[below.index()] = above[below.index()].max(chain);
        }
    }
    above
}

/// The deck that a slot's chain ends on, the place of its root there, and the bonds between.
pub(crate) fn root_of(problem: &Problem, slot: usize) -> (GroundId, DVec2, usize) {
    let (mut slot, mut depth) = (&problem.goal.slots[slot], 0);
    loop {
        match slot.place {
            SlotPlace::OnGround(deck, at) => return (deck, at, depth),
            SlotPlace::OnSlot(below, _) => slot = &problem.goal.slots[below.index()],
        }
        depth += 1;
    }
}

/// Whether the foot has to change its host at least once: bonds to decks change only by hops and crosses.
pub(super) fn hop_needed(problem: &Problem, slot: &SlotPlace, host: Body) -> bool {
    match (slot, host) {
        (SlotPlace::OnGround(deck, _), host) => {
            !host.ground().is_some_and(|from| problem.are_linked(from, *deck))
        }
        (SlotPlace::OnSlot(..), host) => host.ground().is_some(),
    }
}

/// A slot's nominal place if it does not depend on which modules fill the slots below: all kinds must have one size.
pub(super) fn nominal(problem: &Problem, slot: &Slot, module: ModuleId) -> Option<DVec3> {
    match slot.place {
        SlotPlace::OnGround(..) => problem.slot_place(slot, module, None),
        SlotPlace::OnSlot(SlotId(below), _) if problem.is_one_size() => {
            let host = nominal(problem, &problem.goal.slots[usize::from(below)], module)?;
            problem.slot_place(slot, module, Some((module, host)))
        }
        SlotPlace::OnSlot(..) => None,
    }
}
