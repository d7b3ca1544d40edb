//! Typed indices into the vectors of a [`Problem`](super::Problem), valid only for that problem.

macro_rules! index {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub u16);

        impl $name {
            /// The index as a number.
            #[must_use]
            pub const fn index(self) -> usize {
                self.0 as usize
            }

            /// The id of a position in a vector.
            #[must_use]
            pub const fn at(index: usize) -> Self {
                Self(index as u16)
            }
        }
    };
}

index!(
    /// A kind of module.
    KindId
);
index!(
    /// A deck of the site.
    DeckId
);
index!(
    /// A ground: one deck, or several that meet.
    GroundId
);
index!(
    /// A stone of the site.
    StoneId
);
index!(
    /// A module of the crew.
    ModuleId
);
index!(
    /// A slot of the goal.
    SlotId
);

/// A body that a shell can touch: a ground or a module, on which a foot can stand, or a stone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Body {
    /// A ground.
    Ground(GroundId),
    /// A module of the crew.
    Module(ModuleId),
    /// A stone.
    Stone(StoneId),
}

impl Body {
    /// The module, if it is one.
    #[must_use]
    pub const fn module(self) -> Option<ModuleId> {
        match self {
            Self::Module(id) => Some(id),
            Self::Ground(_) | Self::Stone(_) => None,
        }
    }

    /// The ground, if it is one.
    #[must_use]
    pub const fn ground(self) -> Option<GroundId> {
        match self {
            Self::Ground(id) => Some(id),
            Self::Module(_) | Self::Stone(_) => None,
        }
    }
}
