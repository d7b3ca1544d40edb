//! What is known about a scene: whether its goal can be reached.

/// The outcome of the rehearsal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Known {
    /// The crew got to the goal.
    Rehearsed { trips: usize },
    /// Every shape was formed with only its own modules on the ground.
    InParts { shapes: usize, trips: usize },
    /// There was no rehearsal.
    Untried,
    /// The rehearsal did not get to the goal.
    Failed,
}

impl Known {
    /// The outcome of a rehearsal of the whole crew, from its trips if it got to the goal.
    pub(super) fn of(trips: Option<usize>) -> Self {
        trips.map_or(Self::Failed, |trips| Self::Rehearsed { trips })
    }

    /// Trips to the goal, where the whole crew got there.
    pub(super) const fn trips(self) -> Option<usize> {
        match self {
            Self::Rehearsed { trips } => Some(trips),
            Self::InParts { .. } | Self::Untried | Self::Failed => None,
        }
    }

    /// In words, for the file.
    pub(super) fn in_words(self) -> String {
        match self {
            Self::Rehearsed { trips } => format!("Solvable: rehearsed in {trips} trips."),
            Self::InParts { shapes, trips } => format!(
                "Unknown: each of the {shapes} shapes was rehearsed by itself, in {trips} trips in all, but not the crew as a whole."
            ),
            Self::Untried => "Unknown: it was not rehearsed.".to_owned(),
            Self::Failed => "Unknown: the rehearsal did not come through, which proves nothing.".to_owned(),
        }
    }
}
