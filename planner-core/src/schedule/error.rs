//! Why a sequence cannot be timed.

use crate::control::Stopped;
use crate::motion::MoveError;

/// Why a sequence cannot be timed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ScheduleError {
    /// A move cannot begin.
    #[error("{module} cannot make move {index} of the sequence: {error}")]
    Cannot {
        /// Name of the module.
        module: String,
        /// Index of the move within the sequence.
        index: usize,
        /// The cause.
        error: MoveError,
    },
    /// A move does not carry its load with any bracing.
    #[error("{module} cannot {word} with any bracing of the others")]
    NoBracing {
        /// Name of the module.
        module: String,
        /// The kind of move.
        word: &'static str,
    },
    /// The caller interrupted before there was a plan.
    #[error("the timing was stopped before there was a plan")]
    Stopped,
    /// The final shape does not carry its load and payloads with any bracing.
    #[error("the final shape does not hold with any bracing")]
    FinalShape,
    /// A move is not sound even when everything before it in the sequence has ended.
    #[error(
        "{module} cannot {word} where the sequence has it: the way is not free, or its load is not proven"
    )]
    NotSound {
        /// Name of the module.
        module: String,
        /// The kind of move.
        word: &'static str,
    },
}

impl From<Stopped> for ScheduleError {
    fn from(_: Stopped) -> Self {
        Self::Stopped
    }
}
