//! The rules that a plan can break, by name.

use std::fmt;

/// A rule of the model page, or of the plan file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Rule {
    /// A move cannot be begun (section 6).
    Move,
    /// A bond is out of place (section 2).
    Bond,
    /// A chain of bonds ends nowhere (section 4, rule 1).
    Connectivity,
    /// A foot is not inside its deck's outline (section 2).
    Outline,
    /// A foot stands too far round its host's shell (section 4, rule 2).
    Reach,
    /// Two bodies overlap (section 4, rule 3).
    Overlap,
    /// A load is not carried (section 5).
    Load,
    /// A module takes part in two moves at once, or a host of a mover moves (section 6).
    OneMoveAtATime,
    /// Starts and waits make no sense (section 7).
    Order,
    /// A step does not end where the plan says.
    End,
    /// A figure that the plan claims is not what is recomputed.
    Figure,
    /// The plan does not reach the goal.
    Goal,
    /// The scenario in the file is not the one that was planned for.
    Digest,
    /// The scenario in the file leaves out defaults.
    Scenario,
}

impl Rule {
    /// Its name in reports and files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Move => "move",
            Self::Bond => "bond",
            Self::Connectivity => "connectivity",
            Self::Outline => "outline",
            Self::Reach => "reach",
            Self::Overlap => "overlap",
            Self::Load => "load",
            Self::OneMoveAtATime => "one move at a time",
            Self::Order => "order",
            Self::End => "end",
            Self::Figure => "figure",
            Self::Goal => "goal",
            Self::Digest => "digest",
            Self::Scenario => "scenario",
        }
    }
}

impl fmt::Display for Rule {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
