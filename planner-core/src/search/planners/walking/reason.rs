//! Why a crew does not walk to its goal.

/// Why there is no walk.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub(crate) enum NoWalk {
    /// The crew does not stand on one foot.
    #[error("the crew is no machine: its modules do not all stand on one whose foot is on a deck")]
    NoMachine,
    /// The goal is another shape, or where the machine is.
    #[error("the goal is not the machine's own shape elsewhere")]
    OtherGoal,
    /// Too few ends can roll.
    #[error(
        "the machine has {found} legs with an end on a module beside the hub, and strides need 3; {on_hub} bare modules stand on the hub itself, of which no three stand alike"
    )]
    FewLegs {
        /// Legs of two modules or more.
        found: usize,
        /// Bare modules on the hub.
        on_hub: usize,
    },
    /// No room for a machine.
    #[error(
        "a machine of the whole crew has no room on the ground where the crew stands, or on that of the goal"
    )]
    NoSite,
    /// A part of a mission was not planned.
    #[error("the crew cannot {part} on its way: {note}")]
    Part {
        /// What it cannot do.
        part: &'static str,
        /// Why.
        note: String,
    },
    /// No stride is left to try.
    #[error(
        "no strides lead there: the nearest place that was reached is {left_m:.3} m from the goal; {met} strides for which the decks have footholds are not clear of all bodies, and of {tried} others {heavy} do not carry their load and {unready} cannot be got ready by moves of the legs"
    )]
    NoStrides {
        /// Least distance of the hub from the goal, in metres.
        left_m: f64,
        /// Strides on which something meets something.
        met: usize,
        /// Others that were looked at.
        tried: usize,
        /// Those that do not carry their load.
        heavy: usize,
        /// Those for which the legs cannot go where they have to.
        unready: usize,
    },
}
