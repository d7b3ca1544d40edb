//! What keeps a solution from becoming a plan, and a search from finding a solution.

use super::incumbent::Refused;
use super::solution::Unsolved;
use crate::control::Stopped;
use crate::schedule::ScheduleError;
use crate::search::Outcome;

/// Why a plan of a solution is not to be had.
pub(super) enum Trouble {
    Stopped,
    CannotBeTimed(ScheduleError),
    Unsound(Refused),
}

impl Trouble {
    /// The one that says more.
    pub(super) fn worse(self, other: Self) -> Self {
        let rank = |trouble: &Self| match trouble {
            Self::Stopped => 0,
            Self::CannotBeTimed(_) => 1,
            Self::Unsound(_) => 2,
        };
        if rank(&other) > rank(&self) { other } else { self }
    }

    pub(super) fn unsolved(self, trips: usize) -> Unsolved {
        match self {
            Self::CannotBeTimed(error) => Unsolved::CannotBeTimed(error),
            Self::Unsound(Refused::Unsound(unsound)) => {
                let (plan, findings) = *unsound;
                Unsolved::FailedCheck(plan, findings)
            }
            Self::Stopped | Self::Unsound(Refused::Stopped(_)) => Unsolved::NotCheckedInTime { trips },
        }
    }
}

impl From<ScheduleError> for Trouble {
    fn from(error: ScheduleError) -> Self {
        if error == ScheduleError::Stopped { Self::Stopped } else { Self::CannotBeTimed(error) }
    }
}

impl From<Refused> for Trouble {
    fn from(refused: Refused) -> Self {
        if matches!(refused, Refused::Stopped(_)) { Self::Stopped } else { Self::Unsound(refused) }
    }
}

/// Why a search found no solution.
pub(super) fn why_unsolved(outcome: &Outcome) -> Unsolved {
    match (outcome.stop, &outcome.note) {
        (Some(Stopped::Cancelled), _) => Unsolved::Cancelled,
        (Some(Stopped::Full), _) => Unsolved::OutOfMemory,
        (Some(Stopped::Spent), _) => Unsolved::OutOfTime,
        (None, Some(note)) => Unsolved::Exhausted(note.clone()),
        (None, None) => Unsolved::Exhausted("nothing is left to try".to_owned()),
    }
}
