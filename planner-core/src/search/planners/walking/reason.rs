//! Why a crew walks to its goal, and why it does not.

use std::fmt;

/// Why a crew walks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum WhyWalk {
    /// It is a machine that cannot drive there.
    Machine { legs: usize },
    /// It can form one, and no module gets there by itself.
    Crew,
}

impl fmt::Display for WhyWalk {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Machine { legs } => {
                write!(f, "the crew is a machine whose hub cannot drive straight to its goal, and {legs} legs can stride")
            }
            Self::Crew => f.write_str(
                "no module drives from where the crew stands to where the goal wants it, and a machine of all can walk there",
            ),
        }
    }
}

/// A part of the way of a crew that walks as a machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    Form,
    Walk,
    ComeApart,
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Form => "form a machine",
            Self::Walk => "walk",
            Self::ComeApart => "come apart",
        })
    }
}

impl NoWalk {
    /// How far a crew came: the more the farther. A machine walks only if it can be taken apart where it arrives.
    pub(super) const fn reached(&self) -> u8 {
        match self {
            Self::Part { part: Part::Form, .. } => 1,
            Self::Part { part: Part::ComeApart, .. } => 2,
            Self::Part { part: Part::Walk, .. } => 3,
            _ => 0,
        }
    }
}

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
        part: Part,
        /// Why.
        note: String,
    },
    /// The hub arrived, and the legs could not take their places.
    #[error(
        "the hub reaches its goal, and in {arrivals} arrivals the legs could not take the places there that the goal asks for"
    )]
    Unsettled {
        /// How often the hub arrived.
        arrivals: usize,
    },
    /// No stride is left to try, or no time.
    #[error(
        "no strides lead there: of {sits} places where the hub sat the nearest is {left_m:.3} m from the goal, and from there {farther}"
    )]
    NoStrides {
        /// Number of places where the hub sat.
        sits: usize,
        /// Least distance of the hub from the goal, in metres.
        left_m: f64,
        /// What became of the strides from there.
        farther: Tally,
    },
}

/// What became of the places that a hub could have reached next.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    /// Places in reach on which its foot can stand.
    pub(super) places: usize,
    /// Of these, those whose turn came.
    pub(super) tried: usize,
    /// Those that are too near or too far, or too high or too low.
    pub(super) far: usize,
    /// Those without tops under legs that carry the centre of mass.
    pub(super) unfounded: usize,
    /// Those on the way to which something meets something.
    pub(super) met: usize,
    /// Those to which the loads are not carried.
    pub(super) heavy: usize,
    /// Those for which the legs cannot go where they have to.
    pub(super) unready: usize,
}

/// How far a stride came; what comes later came farther.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Came {
    Far,
    Unfounded,
    Met,
    Heavy,
    Unready,
}

impl Tally {
    pub(super) fn count(&mut self, came: Came) {
        *match came {
            Came::Far => &mut self.far,
            Came::Unfounded => &mut self.unfounded,
            Came::Met => &mut self.met,
            Came::Heavy => &mut self.heavy,
            Came::Unready => &mut self.unready,
        } += 1;
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { places, tried, far, unfounded, met, heavy, unready } = self;
        write!(f, "{places} places are in reach, of which {tried} were tried: ")?;
        write!(
            f,
            "{far} are too far or too high for one stride, {unfounded} have no tops under a balanced stance, "
        )?;
        write!(f, "on the way to {met} something meets something, to {heavy} the loads are not carried, ")?;
        write!(f, "and for {unready} the legs cannot be got ready")
    }
}
