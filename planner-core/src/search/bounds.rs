//! Lower bounds on time that hold for every plan.

use crate::math::DVec3;
use crate::math::tolerance;
use crate::model::{Body, Configuration, ModuleId, Problem, SlotPlace};
use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// A lower bound on the makespan of any plan, in seconds: the bottleneck assignment of modules to slots, each at least as long as that
/// module's own drive and hop, or as the hops onto a carrier and off it. Infinite if no assignment exists.
///
/// The model limits neither the curvature of a slide nor, therefore, how fast one module can swing those it carries: being carried counts
/// as taking no time. Left out are others in the way, loads, braces and waiting. Complexity: a cubic assignment for each step of a
/// bisection over the pairs.
#[must_use]
pub fn makespan_lower_bound_s(problem: &Problem) -> f64 {
    let slots = problem.goal.slots.len();
    let gather = gather_bound_s(problem, &problem.start);
    if slots == 0 {
        return gather;
    }
    if slots > problem.modules.len() {
        return f64::INFINITY;
    }
    let times: Vec<Vec<f64>> = (0..slots)
        .map(|slot| problem.module_ids().map(|m| pair_bound_s(problem, slot, m)).collect())
        .collect();
    let mut levels: Vec<f64> = times.iter().flatten().copied().filter(|t| t.is_finite()).collect();
    levels.sort_by(f64::total_cmp);
    let first = levels.partition_point(|&level| !assignable(&times, level));
    levels.get(first).copied().unwrap_or(f64::INFINITY).max(gather)
}

/// Whether all slots can be filled with pairs of at most `level`.
fn assignable(times: &[Vec<f64>], level: f64) -> bool {
    let weights = Matrix::from_fn(times.len(), times[0].len(), |(slot, m)| i64::from(times[slot][m] > level));
    kuhn_munkres_min(&weights).0 == 0
}

/// Least time in which a module can come to fill a slot.
fn pair_bound_s(problem: &Problem, slot: usize, module: ModuleId) -> f64 {
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
fn nominal(problem: &Problem, slot: &crate::model::Slot, module: ModuleId) -> Option<DVec3> {
    let first = problem.kinds.first()?;
    let one_size = problem
        .kinds
        .iter()
        .all(|k| k.shell_radius_m == first.shell_radius_m && k.ride_height_m == first.ride_height_m);
    match slot.place {
        SlotPlace::OnDeck(..) => problem.slot_place(slot, module, None),
        SlotPlace::OnSlot(below, _) if one_size => {
            let host = nominal(problem, &problem.goal.slots[below.index()], module)?;
            problem.slot_place(slot, module, Some((module, host)))
        }
        SlotPlace::OnSlot(..) => None,
    }
}

/// The greatest speed of a module's centre while it drives itself: on a shell of radius R it goes (R + h)/R times as fast as the sole.
pub(super) fn own_speed(problem: &Problem, module: ModuleId) -> f64 {
    let kind = problem.kind(module);
    let on_shells = problem.kinds.iter().map(|host| kind.standing_distance(host) / host.shell_radius_m);
    kind.slide_speed_mps * on_shells.fold(1.0, f64::max)
}

/// A hop for the last of those who have to come.
fn gather_bound_s(problem: &Problem, start: &Configuration) -> f64 {
    let Some(gather) = problem.goal.gather else { return 0.0 };
    let there = start.standing_on(Body::Deck(gather.deck)).count();
    if there >= gather.count {
        return 0.0;
    }
    problem.module_ids().map(|m| problem.kind(m).hop_time_s).fold(f64::INFINITY, f64::min)
}
