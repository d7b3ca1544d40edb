//! The planners by name.

use super::{AStar, Beam, Bridging, NoveltyFirst, Planner, TakingApart, Walking};

/// A planner, by its name in files and on the command line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum PlannerName {
    /// Best-first search over trips (weighted A*).
    AStar,
    /// Backward search: takes the goal shape apart and reverses the plan.
    TakingApart,
    /// Best-first search by novelty.
    Novelty,
    /// Beam search over trips.
    Beam,
    /// Builds structures over which the crew crosses from deck to deck.
    Bridging,
    /// A formed machine walks to where the goal wants its shape.
    Walking,
}

impl PlannerName {
    /// All planners with their names.
    pub const ALL: [(Self, &'static str); 6] = [
        (Self::AStar, "astar"),
        (Self::TakingApart, "taking-apart"),
        (Self::Novelty, "novelty"),
        (Self::Beam, "beam"),
        (Self::Bridging, "bridging"),
        (Self::Walking, "walking"),
    ];

    /// The planner of this name.
    #[must_use]
    pub fn planner(self) -> Box<dyn Planner> {
        match self {
            Self::AStar => Box::new(AStar),
            Self::TakingApart => Box::new(TakingApart),
            Self::Novelty => Box::new(NoveltyFirst),
            Self::Beam => Box::new(Beam),
            Self::Bridging => Box::new(Bridging),
            Self::Walking => Box::new(Walking),
        }
    }
}
