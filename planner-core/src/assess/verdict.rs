//! What becomes of a crew when something fails.

use crate::statics::Utilisation;

/// What becomes of a crew when something fails; the later, the worse.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Every bond stays within the limit that holds for plans.
    Stands,
    /// The crew stands, but some bond is used beyond that limit, up to all that it holds.
    UsesMargin,
    /// It could not be proven that the crew stands.
    NotProven,
    /// A bond gives, or no forces balance the crew.
    Falls,
}

impl Verdict {
    /// The name in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Stands => "stands",
            Self::UsesMargin => "uses_margin",
            Self::NotProven => "not_proven",
            Self::Falls => "falls",
        }
    }

    /// The verdict on a utilisation, for a limit on plans.
    pub(super) fn of(utilisation: Utilisation, limit: f64) -> Self {
        if utilisation.within(limit) {
            Self::Stands
        } else if utilisation.within(ALL) {
            Self::UsesMargin
        } else {
            Self::Falls
        }
    }
}

/// A bond that is used up to this gives everything it holds.
pub(super) const ALL: f64 = 1.0;
