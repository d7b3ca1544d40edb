//! The planners by name.

use super::{AStar, Beam, Bridging, NoveltyFirst, Planner, TakingApart};

/// A planner by its name in files and on the command line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum PlannerName {
    /// Best-first over trips.
    AStar,
    /// Takes the goal apart and runs it backwards.
    TakingApart,
    /// What was not seen before first.
    Novelty,
    /// The best few of every number of trips.
    Beam,
    /// Builds structures over which the crew gets from deck to deck.
    Bridging,
}

impl PlannerName {
    /// All of them with their names.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::AStar, "astar"),
        (Self::TakingApart, "taking-apart"),
        (Self::Novelty, "novelty"),
        (Self::Beam, "beam"),
        (Self::Bridging, "bridging"),
    ];

    /// The planner itself.
    #[must_use]
    pub fn planner(self) -> Box<dyn Planner> {
        match self {
            Self::AStar => Box::new(AStar),
            Self::TakingApart => Box::new(TakingApart),
            Self::Novelty => Box::new(NoveltyFirst),
            Self::Beam => Box::new(Beam),
            Self::Bridging => Box::new(Bridging),
        }
    }
}
