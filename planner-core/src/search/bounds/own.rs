//! The time that a module's own drives and hops take.

use super::slots::{hop_needed, nominal};
use crate::math::{DVec2, tolerance};
use crate::model::{Body, ModuleId, Problem, Slot, SlotPlace};

/// Least total duration of a module's own moves until it fills a slot, in seconds; infinite if it may not. Either it drives and hops, or it hops onto
/// a carrier and, where the slot is on a deck, off again.
pub(super) fn own_time_s(problem: &Problem, slot: usize, module: ModuleId) -> f64 {
    let slot = &problem.goal.slots[slot];
    if !problem.slot_takes(slot, module) {
        return f64::INFINITY;
    }
    let place = problem.start.get(module);
    let kind = problem.kind(module);
    let hop_s = if hop_needed(problem, &slot.place, place.host) { kind.hop_time_s } else { 0.0 };
    if place.host.module().is_some() {
        return hop_s; // it may be carried from the first instant
    }
    let off_s = if matches!(slot.place, SlotPlace::OnGround(..)) { kind.hop_time_s } else { 0.0 };
    let carried_s = kind.hop_time_s + off_s;
    if let (SlotPlace::OnGround(deck, at), Body::Ground(from)) = (slot.place, place.host) {
        if !problem.are_linked(deck, from) {
            return carried_s; // there are no hops from deck to deck
        }
        if deck != from {
            return (over_ground_m(problem, module, at) / kind.slide_speed_mps).min(carried_s);
        }
    }
    let way_m = if problem.is_plain() { way_m(problem, slot, module) } else { 0.0 };
    (way_m / own_speed(problem, module) + hop_s).min(carried_s)
}

fn way_m(problem: &Problem, slot: &Slot, module: ModuleId) -> f64 {
    let from = problem.start.get(module).position;
    nominal(problem, slot, module).map_or(0.0, |target| (from.distance(target) - tolerance::SLOT_M).max(0.0))
}

/// Least way of a module's sole over grounds from its start to a place, seen from above, in metres.
pub(super) fn over_ground_m(problem: &Problem, module: ModuleId, at: DVec2) -> f64 {
    let place = problem.start.get(module);
    (place.sole(problem.kind(module)).truncate().distance(at) - tolerance::SLOT_M).max(0.0)
}

/// Greatest speed of a module's centre while it drives itself, in metres per second: on a shell of radius R the centre moves (R + h)/R times as fast
/// as the sole.
pub(in crate::search) fn own_speed(problem: &Problem, module: ModuleId) -> f64 {
    let kind = problem.kind(module);
    let on_shells = problem.kinds.iter().map(|host| kind.standing_distance(host) / host.shell_radius_m);
    kind.slide_speed_mps * on_shells.fold(1.0, f64::max)
}
