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
    /// A module of the crew.
    ModuleId
);
index!(
    /// A slot of the goal.
    SlotId
);

/// A body: a deck or a module, on which a foot can stand and which a shell can touch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Body {
    /// A deck of the site.
    Deck(DeckId),
    /// A module of the crew.
    Module(ModuleId),
}

impl Body {
    /// The module, if it is one.
    #[must_use]
    pub const fn module(self) -> Option<ModuleId> {
        match self {
            Self::Module(id) => Some(id),
            Self::Deck(_) => None,
        }
    }

    /// The deck, if it is one.
    #[must_use]
    pub const fn deck(self) -> Option<DeckId> {
        match self {
            Self::Deck(id) => Some(id),
            Self::Module(_) => None,
        }
    }
}
