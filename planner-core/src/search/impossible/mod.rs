//! Goals that no crew of this scene can reach, whatever it does.
//!
//! Each proof carries the data that [`Impossible::verify`] needs to check it by another way than it was found.

mod describe;
mod enclosure;
mod flood;
mod goal_shape;
mod overloaded;
mod too_few;
mod verify;

pub use enclosure::Enclosure;

use crate::model::{DeckId, ModuleId, Problem, SlotId};
use crate::statics::FailureMode;

/// Why a goal is impossible.
#[derive(Clone, Debug, PartialEq)]
pub enum Impossible {
    /// There are fewer modules than are to gather.
    TooFewToGather {
        /// Modules in the crew.
        crew: usize,
        /// Modules asked for.
        asked: usize,
    },
    /// No assignment of modules to slots respects kinds and names.
    NoAssignment,
    /// Two slots are so near that any two modules would overlap.
    SlotsOverlap {
        /// One slot.
        a: SlotId,
        /// The other.
        b: SlotId,
        /// Distance of their centres in metres.
        apart_m: f64,
        /// Least distance that they need.
        needed_m: f64,
    },
    /// A slot's place is inside a deck.
    SlotInSolid {
        /// The slot.
        slot: SlotId,
        /// The deck.
        deck: DeckId,
    },
    /// A foot in a slot would stand over the deck's edge.
    SlotOverEdge {
        /// The slot.
        slot: SlotId,
    },
    /// A slot is farther round its host's shell than feet may stand.
    SlotBeyondReach {
        /// The slot.
        slot: SlotId,
        /// Angle from the host's body +z, in radians.
        angle_rad: f64,
        /// The largest that any kind allows.
        limit_rad: f64,
    },
    /// A module that the goal names elsewhere is stuck on a deck.
    StuckElsewhere {
        /// The slot.
        slot: SlotId,
        /// The module.
        module: ModuleId,
    },
    /// No chain of modules is long enough to bring one onto a deck.
    TooFewToReach {
        /// The deck that somebody has to stand on.
        deck: DeckId,
        /// All decks that chains of the whole crew might reach, one after the other.
        within_reach: Vec<DeckId>,
        /// The one of them from which it takes the fewest modules.
        nearest: DeckId,
        /// Modules that it takes from there, at least.
        needed: usize,
    },
    /// All are to gather, and the last module on another deck cannot hop onto any chain that the others can hang down to it.
    TooFewForLast {
        /// The deck to gather on.
        deck: DeckId,
        /// The other deck from which it is easiest.
        from: DeckId,
        /// Greatest height above that deck of a shell's centre onto which a module standing there can hop, in metres.
        highest_m: f64,
        /// Least height of one that the others can hang there.
        lowest_m: f64,
    },
    /// Nothing of the size of a module fits through to a place that somebody has to get to.
    CutOff {
        /// The place.
        target: CutOffPlace,
        /// All places that a module's centre could come to from there.
        enclosure: Enclosure,
        /// All decks that chains of the whole crew might reach: they limit how high a module can be.
        within_reach: Vec<DeckId>,
    },
    /// The bond of a slot fails in the final shape whoever fills it, and there is nobody left to help.
    Overloaded {
        /// The slot.
        slot: SlotId,
        /// How it fails.
        governs: FailureMode,
        /// Adhesion in newtons that the bond needs at least.
        needs_n: f64,
        /// Adhesion in newtons that it may use, braced.
        holds_n: f64,
    },
}

/// A place that somebody has to get to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutOffPlace {
    /// A slot.
    Slot(SlotId),
    /// The deck to gather on.
    Deck(DeckId),
}

/// A proof that the goal cannot be reached, if one of the known ones applies.
///
/// Complexity: linear in the cells looked at for an enclosure, which end as soon as a way out is likely; otherwise quadratic in slots and
/// decks.
#[must_use]
pub fn impossible_goal(problem: &Problem) -> Option<Impossible> {
    goal_shape::counts(problem)
        .or_else(|| problem.is_one_size().then(|| goal_shape::geometry(problem)).flatten())
        .or_else(|| goal_shape::stuck_elsewhere(problem))
        .or_else(|| too_few::to_reach(problem))
        .or_else(|| too_few::for_last(problem))
        .or_else(|| overloaded::overloaded(problem))
        .or_else(|| flood::cut_off(problem))
}

impl Impossible {
    /// Whether the proof holds, looked at again by another way than it was found.
    #[must_use]
    pub fn verify(&self, problem: &Problem) -> bool {
        verify::holds(self, problem)
    }

    /// The proof as a sentence without a full stop.
    #[must_use]
    pub fn describe(&self, problem: &Problem) -> String {
        describe::sentence(self, problem)
    }
}
