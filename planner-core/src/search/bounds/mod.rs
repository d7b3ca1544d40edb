//! Lower bounds on time that hold for every plan of a scene, or for every plan of a stated class.
//!
//! The model limits neither the curvature of a slide nor, therefore, how fast one module can swing those it carries. The bound for every plan
//! has to allow for that; a second one holds where nobody is carried. Both leave out others in the way, loads, counterweights, braces,
//! yaws and turns into the direction of a drive, and waiting for each other but for the order in which a chain is built.

mod arrival;
mod carried;
mod own;
mod slots;
pub(crate) mod stances;
mod total;
mod uncarried;

pub(super) use arrival::first_arrivals;
pub(super) use own::own_speed;
pub use total::total_move_time_lower_bound_s;

use crate::model::Problem;
use carried::Carried;
use slots::{bottleneck_s, hops_above_s};

/// A lower bound on the makespan of any plan, in seconds. Infinite if no assignment exists.
///
/// The greatest of three: the bottleneck assignment of modules to slots, each with its own hops and drives, the drives of those who carry it,
/// and the hops of those that come to stand on it; the hops it takes to build a chain of hosts to a deck where somebody has to stand; and,
/// where all are to gather, the hops it takes for the last to come over and for the chain that helped it to climb itself.
///
/// Complexity: a cubic assignment for each step of a bisection over the pairs of slots and modules.
#[must_use]
pub fn makespan_lower_bound_s(problem: &Problem) -> f64 {
    if problem.modules.is_empty() {
        return 0.0;
    }
    // The last hop onto a slot's filler, and onto those above it, comes while the filler stands still, and no two of a chain overlap: they
    // add up with all that brought the filler there.
    let (above_s, carried) = (hops_above_s(problem), Carried::new(problem));
    bottleneck_s(problem, |slot, m| carried.time_s(slot, m) + above_s[slot])
        .max(arrival::arrival_bound_s(problem))
}

/// A lower bound on the makespan of plans in which nobody is carried, in seconds: no module yaws or slides while another stands on it. Not less
/// than [`makespan_lower_bound_s`], and infinite if no assignment exists.
///
/// The bottleneck assignment of modules to slots, each with its shortest drive over open ground to where it hops onto its host, the hop, and
/// the drive over the host's shell; each after the filler of the slot below, and before the hops of those above. Complexity: the
/// same, and some hundred evaluations of a distance for each pair.
#[must_use]
pub fn uncarried_makespan_lower_bound_s(problem: &Problem) -> f64 {
    if problem.modules.is_empty() {
        return 0.0;
    }
    let (above_s, times_s) = (hops_above_s(problem), uncarried::times_s(problem));
    bottleneck_s(problem, |slot, m| times_s[slot][m.index()] + above_s[slot])
        .max(makespan_lower_bound_s(problem))
}
