//! A module's own drives and hops, and the hops of those that come to stand on it.

use crate::math::{DVec3, tolerance};
use crate::model::{Body, ModuleId, Problem, Slot, SlotId, SlotPlace};
use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// The bound from filling the slots: the bottleneck assignment.
///
/// The last hop onto a slot's filler, and onto those above it, comes while the filler stands still, and no two of a chain overlap: they add
/// up with the filler's own moves.
pub(super) fn slots_bound_s(problem: &Problem) -> f64 {
    let slots = problem.goal.slots.len();
    if slots == 0 {
        return 0.0;
    }
    if slots > problem.modules.len() {
        return f64::INFINITY;
    }
    let above = hops_above_s(problem);
    let times: Vec<Vec<f64>> = (0..slots)
        .map(|slot| problem.module_ids().map(|m| own_time_s(problem, slot, m) + above[slot]).collect())
        .collect();
    let mut levels: Vec<f64> = times.iter().flatten().copied().filter(|t| t.is_finite()).collect();
    levels.sort_by(f64::total_cmp);
    let first = levels.partition_point(|&level| !assignable(&times, level));
    levels.get(first).copied().unwrap_or(f64::INFINITY)
}

/// Whether all slots can be filled with pairs of at most `level`.
fn assignable(times: &[Vec<f64>], level: f64) -> bool {
    let weights = Matrix::from_fn(times.len(), times[0].len(), |(slot, m)| i64::from(times[slot][m] > level));
    kuhn_munkres_min(&weights).0 == 0
}

/// For each slot the time of the last hops of those above it, along the longest chain.
fn hops_above_s(problem: &Problem) -> Vec<f64> {
    let mut above = vec![0.0_f64; problem.goal.slots.len()];
    // Hosts come before those that stand on them.
    for (index, slot) in problem.goal.slots.iter().enumerate().rev() {
        if let SlotPlace::OnSlot(below, _) = slot.place {
            let takers = problem.module_ids().filter(|&m| problem.slot_takes(slot, m));
            let hop = |m: ModuleId| {
                if hop_needed(&slot.place, problem.start.get(m).host) {
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

/// Least time of the moves that a module itself makes to come to fill a slot; infinite if it may not. Either it drives and hops, or it
/// hops onto a carrier and, to a deck, off again.
pub(super) fn own_time_s(problem: &Problem, slot: usize, module: ModuleId) -> f64 {
    let slot = &problem.goal.slots[slot];
    if !problem.slot_takes(slot, module) {
        return f64::INFINITY;
    }
    let place = problem.start.get(module);
    let kind = problem.kind(module);
    let hop_s = if hop_needed(&slot.place, place.host) { kind.hop_time_s } else { 0.0 };
    if place.host.module().is_some() {
        return hop_s; // it may be carried from the first instant
    }
    let off_s = if matches!(slot.place, SlotPlace::OnDeck(..)) { kind.hop_time_s } else { 0.0 };
    let carried_s = kind.hop_time_s + off_s;
    if let (SlotPlace::OnDeck(deck, _), Body::Deck(from)) = (slot.place, place.host)
        && deck != from
    {
        return carried_s; // there are no hops from deck to deck
    }
    let way_m = nominal(problem, slot, module)
        .map_or(0.0, |target| (place.position.distance(target) - tolerance::SLOT_M).max(0.0));
    (way_m / own_speed(problem, module) + hop_s).min(carried_s)
}

/// Whether the foot has to go over to another body at least once: bonds to decks change only by hops.
fn hop_needed(slot: &SlotPlace, host: Body) -> bool {
    match (slot, host) {
        (SlotPlace::OnDeck(deck, _), host) => host != Body::Deck(*deck),
        (SlotPlace::OnSlot(..), host) => host.deck().is_some(),
    }
}

/// A slot's place, if it does not depend on who fills the slots below: all kinds must have one size.
fn nominal(problem: &Problem, slot: &Slot, module: ModuleId) -> Option<DVec3> {
    match slot.place {
        SlotPlace::OnDeck(..) => problem.slot_place(slot, module, None),
        SlotPlace::OnSlot(SlotId(below), _) if problem.is_one_size() => {
            let host = nominal(problem, &problem.goal.slots[usize::from(below)], module)?;
            problem.slot_place(slot, module, Some((module, host)))
        }
        SlotPlace::OnSlot(..) => None,
    }
}

/// The greatest speed of a module's centre while it drives itself: on a shell of radius R it goes (R + h)/R times as fast as the sole.
pub(in crate::search) fn own_speed(problem: &Problem, module: ModuleId) -> f64 {
    let kind = problem.kind(module);
    let on_shells = problem.kinds.iter().map(|host| kind.standing_distance(host) / host.shell_radius_m);
    kind.slide_speed_mps * on_shells.fold(1.0, f64::max)
}
