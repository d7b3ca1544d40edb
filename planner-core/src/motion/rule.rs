//! The rules of the model and of the plan file, by name.

use std::fmt;

/// A rule of the model, or of the plan file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[non_exhaustive]
pub enum Rule {
    /// A move can begin (section 6).
    Move,
    /// A bond is in its place (section 2).
    Bond,
    /// A chain of bonds ends on a deck (section 4, rule 1).
    Connectivity,
    /// A foot is inside its deck's outline (section 2).
    Outline,
    /// A foot stands within reach on its host's shell (section 4, rule 2).
    Reach,
    /// No two bodies overlap (section 4, rule 3).
    Overlap,
    /// Drives keep their clearance (section 4, rule 5).
    Clearance,
    /// The load is carried (section 5).
    Load,
    /// No module takes part in two moves at once, and no host of a mover moves (section 6).
    OneMoveAtATime,
    /// Starts and precedences are consistent (section 7).
    Order,
    /// A step ends where the plan says.
    End,
    /// A figure in the plan equals the recomputed one.
    Figure,
    /// The plan reaches the goal.
    Goal,
    /// The scenario in the file is the one that was planned for.
    Digest,
    /// The scenario in the file has every default written out.
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
            Self::Clearance => "clearance",
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
