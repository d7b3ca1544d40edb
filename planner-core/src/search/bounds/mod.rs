//! Lower bounds on time that hold for every plan of a scene, or for every plan of a stated class.
//!
//! The model does not limit the curvature of a slide, so it does not limit how fast a module swings what it carries. The bound for every plan allows
//! for that. A second, tighter bound holds for plans in which no module is carried. Both ignore obstacles, loads, counterweights, braces, yaws, turns
//! into the direction of a drive, and waiting other than for the order in which a chain is built.

mod arrival;
mod carried;
mod own;
mod slots;
pub(crate) mod stances;
mod total;
mod uncarried;

pub(super) use arrival::first_arrivals;
pub(super) use carried::can_stride;
pub(super) use own::own_speed;
pub(crate) use slots::root_of;
pub use total::total_move_time_lower_bound_s;

use crate::model::Problem;
use carried::Carried;
use slots::{bottleneck_s, hops_above_s};

/// Times of pairs are worked out up to so many times a first bound.
const ENOUGH: f64 = 2.0;

/// A lower bound on the makespan of any plan, in seconds. Infinite if no assignment exists.
///
/// The greatest of three bounds. First, the bottleneck assignment of modules to slots: each module's own hops and drives, the drives of the modules
/// that carry it, and the hops of those that come to stand on it. Second, the hops needed to build a chain of hosts to a deck that a module has to
/// stand on. Third, where all modules are to gather, the hops of the last one to arrive and of the chain that helped it.
///
/// Complexity: one assignment, cubic in the modules, for each step of a bisection over the pairs of slot and module.
#[must_use]
pub fn makespan_lower_bound_s(problem: &Problem) -> f64 {
    if problem.modules.is_empty() {
        return 0.0;
    }
    // The last hop onto a slot's filler, and those onto the modules above it, happen while the filler stands still, and no two of a chain overlap. So
    // they add up with the time that brought the filler there.
    let (above_s, carried) = (hops_above_s(problem), Carried::new(problem));
    let arrival_s = if carried::can_stride(problem) { 0.0 } else { arrival::arrival_bound_s(problem) };
    bottleneck_s(problem, |slot, m| carried.time_s(slot, m) + above_s[slot]).max(arrival_s)
}

/// A lower bound on the makespan of plans in which no module is carried, in seconds: no module yaws or slides while another stands on it. At least
/// [`makespan_lower_bound_s`], and infinite if no assignment exists.
///
/// The bottleneck assignment of modules to slots. Each module takes its shortest drive over open ground to where it hops onto its host, the hop, and
/// the drive over the host's shell. Each comes after the filler of the slot below, and before the hops of those above. Complexity: as
/// [`makespan_lower_bound_s`], and some hundred evaluations of a distance for each pair that is not
/// plainly too far apart.
#[must_use]
pub fn uncarried_makespan_lower_bound_s(problem: &Problem) -> f64 {
    if problem.modules.is_empty() {
        return 0.0;
    }
    let above_s = hops_above_s(problem);
    let bound_s = |most_s: f64| {
        let times_s = uncarried::times_s(problem, most_s);
        bottleneck_s(problem, |slot, m| times_s[slot][m.index()] + above_s[slot])
    };
    // The bound is seldom much greater than that of the shortest ways, and only pairs up to it matter.
    bound_s(ENOUGH * bound_s(0.0)).max(makespan_lower_bound_s(problem))
}
