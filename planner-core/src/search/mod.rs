//! Planners: a problem in, an outcome out.
//!
//! All planners search over *trips*: one module's whole way (yaws, slides, hops) from one rest to another while the others stand. Holds
//! are no part of the searched state: a standing module may always be braced, and bracing never hurts, so planners take every
//! standing module as braced and the schedule decides afterwards which braces are needed.

mod assignment;
mod astar;
mod auto;
mod beam;
mod best_first;
mod bounds;
mod bridging;
mod budget;
mod carrying;
mod errand;
mod freeing;
mod goal;
mod impossible;
mod improver;
mod itinerary;
pub(crate) mod memory;
mod novelty;
mod outcome;
mod over;
mod planner;
mod rebuilding;
mod stances;
mod stopped;
mod successors;
mod symmetry;
mod taking_apart;

pub use astar::AStar;
pub use auto::Auto;
pub use beam::Beam;
pub use bounds::{makespan_lower_bound_s, total_move_time_lower_bound_s, uncarried_makespan_lower_bound_s};
pub use bridging::Bridging;
pub use budget::{Budget, Stop};
pub(crate) use errand::Errand;
pub use impossible::{CutOffPlace, Enclosure, Impossible, impossible_goal};
pub use improver::improve;
pub(crate) use itinerary::{Itinerary, KnownTrips, Route};
pub use novelty::NoveltyFirst;
pub use outcome::{Outcome, Statistics};
pub use planner::{InputError, NoObserver, Observer, Options, Planner, PlannerName, Progress};
pub use stopped::Stoppers;
pub use symmetry::Symmetries;
pub use taking_apart::TakingApart;
