//! Planners: a problem in, an outcome out.
//!
//! All planners search over *trips*. A trip is one module's whole way (yaws, slides, hops) from one rest to another while the others stand. A module
//! is *bare* when none stands on it. Holds are not part of the search state: a standing module may always be braced, and bracing never hurts. So
//! planners take every standing module as braced, and the schedule decides afterwards which braces are needed.

pub(crate) mod bounds;
mod catalogue;
pub(crate) mod frontier;
pub(crate) mod guidance;
mod impossible;
pub(crate) mod outcome;
pub(crate) mod planner;
pub(crate) mod planners;
mod shortcuts;
pub(crate) mod shortening;
pub(crate) mod trips;

pub use bounds::{makespan_lower_bound_s, total_move_time_lower_bound_s, uncarried_makespan_lower_bound_s};
pub use catalogue::PlannerName;
pub use frontier::symmetry::Symmetries;
pub(crate) use guidance::goal::is_met_apart_from_holds;
pub use guidance::stoppers::Stoppers;
pub(crate) use impossible::frozen::can_fill;
pub use impossible::{CutOffPlace, Enclosure, Impossible, impossible_goal};
pub use outcome::{Outcome, Statistics};
pub use planner::{InputError, NoObserver, Observer, Options, Planner, SearchProgress, Task};
pub use planners::{AStar, Beam, Bridging, NoveltyFirst, TakingApart, Walking};
pub use shortening::{shorten, shorten_all};
pub(crate) use trips::successors::braced;
