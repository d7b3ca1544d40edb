//! Lower bounds on time that hold for every plan of a scene.
//!
//! The model limits neither the curvature of a slide nor, therefore, how fast one module can swing those it carries: being carried counts as
//! taking no time. What counts are a module's own drives and hops, and the order of hops: nobody hops onto or off a body while its chain of
//! hosts moves, and only a bare module hops. Left out are others in the way, loads, counterweights, braces, yaws and waiting.

mod arrival;
mod own;
mod total;

pub(super) use arrival::first_arrivals;
pub(super) use own::own_speed;
pub use total::total_move_time_lower_bound_s;

use crate::model::Problem;

/// A lower bound on the makespan of any plan, in seconds. Infinite if no assignment exists.
///
/// The greatest of three: the bottleneck assignment of modules to slots, each with its own moves and the hops of those that come to stand on
/// it; the hops it takes to build a chain of hosts to a deck where somebody has to stand; and, where all are to gather, the hops it takes
/// for the last to come over and for the chain that helped it to climb itself.
///
/// Complexity: a cubic assignment for each step of a bisection over the pairs of slots and modules.
#[must_use]
pub fn makespan_lower_bound_s(problem: &Problem) -> f64 {
    if problem.modules.is_empty() {
        return 0.0;
    }
    own::slots_bound_s(problem).max(arrival::arrival_bound_s(problem))
}
