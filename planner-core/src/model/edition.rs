//! The editions of the model.

/// The edition of the model that a problem is judged by. Plans of the first are still read and checked by its rules.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Edition {
    /// The first: drives start and stop at once, curved slides turn at any rate, shells hold on to what they touch in a hop, the motion factor counts
    /// while a module slides, yaws or hops, and decks do not join.
    First,
    /// The second, `docs/model.md`.
    #[default]
    Second,
}

impl Edition {
    /// Whether a curved slide keeps to the rate and the torque of a rolling yaw.
    #[must_use]
    pub const fn curves_turn(self) -> bool {
        matches!(self, Self::Second)
    }

    /// Whether the shell of a hopping module slips on what it touches.
    #[must_use]
    pub const fn hops_slip(self) -> bool {
        matches!(self, Self::Second)
    }

    /// Whether the motion factor counts while a hold is changed.
    #[must_use]
    pub const fn bracing_shakes(self) -> bool {
        matches!(self, Self::Second)
    }

    /// Whether decks join to grounds.
    #[must_use]
    pub const fn decks_join(self) -> bool {
        matches!(self, Self::Second)
    }
}
