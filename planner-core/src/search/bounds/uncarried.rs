//! A lower bound on the time in which a module can fill a slot when no module is carried.
//!
//! A host then stays where it is, so every module hops onto a host that is already in its slot. On a deck a module's centre moves as fast as its
//! sole. On a shell it moves faster, but only around the shell: crossing one shell saves at most [`gain_m`] of path length against a deck.

use super::own::over_ground_m;
use super::slots::{hop_needed, nominal, root_of};
use super::stances::Sizes;
use crate::math::{DVec2, DVec3, acos, angle_between, sin, tolerance};
use crate::model::{Body, Kind, ModuleId, Problem, SlotPlace};
use std::f64::consts::TAU;

/// Number of azimuths tried for the place of a hop.
const AZIMUTHS: usize = 720;

/// For every slot and module the least time in which the module can fill it, in seconds; infinite where it may not. Times that are certainly greater
/// than `most_s` are left a little too small, which saves most of the work.
pub(super) fn times_s(problem: &Problem, most_s: f64) -> Vec<Vec<f64>> {
    let hop_s = Sizes::new(problem).hop_s;
    let mut filled_s: Vec<f64> = Vec::with_capacity(problem.goal.slots.len());
    let mut times: Vec<Vec<f64>> = Vec::with_capacity(filled_s.capacity());
    for (slot, wanted) in problem.goal.slots.iter().enumerate() {
        // Hosts come before the modules that stand on them, and the last hop comes when the host is in place.
        let host_s = match wanted.place {
            SlotPlace::OnGround(..) => 0.0,
            SlotPlace::OnSlot(below, _) => filled_s[below.index()],
        };
        let with_host = |m: ModuleId| {
            let last_hop_s =
                if hop_needed(problem, &wanted.place, problem.start.get(m).host) { hop_s } else { 0.0 };
            let after_s = if last_hop_s > 0.0 { host_s + last_hop_s } else { 0.0 };
            time_s(problem, (slot, m), most_s).max(after_s)
        };
        let row: Vec<f64> = problem.module_ids().map(with_host).collect();
        filled_s.push(row.iter().copied().fold(f64::INFINITY, f64::min));
        times.push(row);
    }
    times
}

/// Least time of one module's own path, or less where it is greater than `most_s`.
fn time_s(problem: &Problem, (slot, module): (usize, ModuleId), most_s: f64) -> f64 {
    let wanted = &problem.goal.slots[slot];
    if !problem.slot_takes(wanted, module) {
        return f64::INFINITY;
    }
    let Some(place) = nominal(problem, wanted, module) else { return 0.0 };
    let (start, kind) = (problem.start.get(module), problem.kind(module));
    let speed = kind.slide_speed_mps;
    let gain_m = problem.kinds.iter().map(|host| gain_m(kind, host)).fold(0.0, f64::max);
    // Every point of a chain is within a slot's tolerance of its nominal place.
    let apart_m = (start.position.distance(place) - tolerance::SLOT_M).max(0.0);
    // Over edges and slopes the centre and the sole do not go the same way.
    let apart_m = if problem.is_plain() { apart_m } else { 0.0 };
    let over = |shells: f64| (apart_m - shells * gain_m).max(0.0) / speed;
    let is_on = |host: Body| host.module().is_some();
    let (from_shell, to_shell) = (is_on(start.host), matches!(wanted.place, SlotPlace::OnSlot(..)));
    let straight_s = match (from_shell, to_shell) {
        (false, false) if !hop_needed(problem, &wanted.place, start.host) => {
            let (_, at, _) = root_of(problem, slot);
            over(0.0).max(over_ground_m(problem, module, at) / speed)
        }
        (false, false) => f64::INFINITY,
        (false, true) if kind.hop_time_s + over(1.0) > most_s => kind.hop_time_s + over(1.0),
        (false, true) => kind.hop_time_s + from_deck_s(problem, slot, module).max(over(1.0)),
        // It may stand on the slot's host already, or hop off at once.
        (true, true) => over(1.0).min(kind.hop_time_s + over(2.0)),
        (true, false) => kind.hop_time_s + over(1.0),
    };
    // The number of shells that h hops lead over, besides h.
    let more_shells = f64::from(u8::from(from_shell)) - f64::from(u8::from(!to_shell));
    let after = |hops: f64| hops * kind.hop_time_s + over(hops + more_shells);
    if kind.hop_time_s * speed >= gain_m {
        // Each further shell costs a hop and saves less than that.
        return straight_s.min(after(2.0));
    }
    let used_up = (apart_m / gain_m - more_shells).floor().max(2.0) * kind.hop_time_s;
    straight_s.min(after(2.0)).min(used_up)
}

/// From a deck with one hop onto the slot's host, which is in its place: the drive to the place of the hop and the drive on the shell.
///
/// The place of the hop lies on a circle around the host. The best azimuth is enclosed: between two samples the time changes by no more than it takes
/// to drive the arc between them, on the deck and on the shell.
fn from_deck_s(problem: &Problem, slot: usize, module: ModuleId) -> f64 {
    let SlotPlace::OnSlot(below, toward) = problem.goal.slots[slot].place else { return 0.0 };
    if !problem.is_one_size() || !problem.is_plain() {
        return 0.0;
    }
    let (start, kind) = (problem.start.get(module), problem.kind(module));
    let Some(host) = nominal(problem, &problem.goal.slots[below.index()], module) else { return 0.0 };
    let bond_m = kind.standing_distance(kind);
    let rise_m = start.position.z - host.z;
    let play_m = 2.0 * tolerance::SLOT_M;
    if rise_m.abs() > bond_m + play_m {
        return f64::INFINITY;
    }
    let level_m = (bond_m * bond_m - rise_m * rise_m).max(0.0).sqrt();
    let way_m = |azimuth: f64| {
        let out = DVec2::from_angle(azimuth);
        let drive_m = start.position.truncate().distance(host.truncate() + out * level_m);
        let normal = DVec3::new(out.x * level_m, out.y * level_m, rise_m);
        drive_m + kind.shell_radius_m * angle_between(normal, toward)
    };
    let step = TAU / AZIMUTHS as f64;
    let least_m = (0..AZIMUTHS).map(|k| way_m(k as f64 * step)).fold(f64::INFINITY, f64::min);
    let between_m = 0.5 * step * (level_m + kind.shell_radius_m);
    // Host and slot may both be off by their tolerance. At a grazing height the circle changes more than the height.
    let grazing_m = if rise_m == 0.0 { play_m } else { (2.0 * play_m * bond_m).sqrt() + play_m };
    ((least_m - between_m - 2.0 * grazing_m) / kind.slide_speed_mps).max(0.0)
}

/// Greatest saving of the sole's path on a shell against the centre's displacement, in metres: the maximum of `2 L sin(θ/2) − R θ`, at `cos(θ/2) = R
/// / L`.
fn gain_m(kind: &Kind, host: &Kind) -> f64 {
    let (shell_m, bond_m) = (host.shell_radius_m, kind.standing_distance(host));
    let half = acos((shell_m / bond_m).clamp(0.0, 1.0));
    2.0 * (bond_m * sin(half) - shell_m * half)
}
