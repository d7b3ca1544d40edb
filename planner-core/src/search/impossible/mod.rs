//! Proofs that no plan of this scene reaches the goal.
//!
//! Each proof carries the data that [`Impossible::verify`] needs to check it by a method independent of the one that found it.

mod describe;
mod enclosure;
mod flood;
pub(crate) mod frozen;
mod goal_shape;
mod overloaded;
mod too_few;
mod verify;

pub use enclosure::Enclosure;

use crate::model::{GroundId, ModuleId, Problem, SlotId};
use crate::search::bounds::can_stride;
use crate::statics::FailureMode;

/// Why a goal is impossible: a certificate, with the data needed to verify it.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum Impossible {
    /// The crew has fewer modules than are to gather.
    TooFewToGather {
        /// Number of modules in the crew.
        crew: usize,
        /// Number of modules asked for.
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
        /// Distance of their centres, in metres.
        apart_m: f64,
        /// Least distance that any two modules need, in metres.
        needed_m: f64,
    },
    /// A slot's place is inside a deck.
    SlotInSolid {
        /// The slot.
        slot: SlotId,
        /// The deck.
        deck: GroundId,
    },
    /// A foot in a slot would stand over the deck's edge.
    SlotOverEdge {
        /// The slot.
        slot: SlotId,
    },
    /// A slot is farther from its host's axis than a foot may stand.
    SlotBeyondReach {
        /// The slot.
        slot: SlotId,
        /// Angle from the host's body +z, in radians.
        angle_rad: f64,
        /// The largest angle that any kind allows, in radians.
        limit_rad: f64,
    },
    /// A module that the goal names elsewhere is stuck on a deck.
    StuckElsewhere {
        /// The slot.
        slot: SlotId,
        /// The module.
        module: ModuleId,
    },
    /// A module stands in a slot's place for ever, and the slot asks for another module or another hold.
    TakenForGood {
        /// The slot.
        slot: SlotId,
        /// The module in its place.
        module: ModuleId,
    },
    /// Modules that can never hop, or whose riders never can, keep their hosts, and not all slots can be filled by the others.
    KeepTheirHosts {
        /// Number of modules that keep their hosts.
        frozen: usize,
    },
    /// Modules that keep their hosts for ever stand elsewhere than where enough are to gather.
    TooFewCanGather {
        /// Number of modules that might come.
        able: usize,
        /// Number of modules asked for.
        asked: usize,
    },
    /// No chain of modules is long enough to bring a module onto a deck.
    TooFewToReach {
        /// The deck that a module has to stand on.
        deck: GroundId,
        /// All decks that chains of the whole crew might reach, one after the other.
        within_reach: Vec<GroundId>,
        /// The deck of these from which the fewest modules are needed.
        nearest: GroundId,
        /// Least number of modules needed from there.
        needed: usize,
    },
    /// All are to gather, and the last module on another deck cannot hop onto any chain that the others can hang down to it.
    TooFewForLast {
        /// The deck to gather on.
        deck: GroundId,
        /// The other deck, from which it is easiest.
        from: GroundId,
        /// Greatest height above that deck of a shell's centre onto which a module standing there can hop, in metres.
        highest_m: f64,
        /// Least height of such a centre that the others can hang there, in metres.
        lowest_m: f64,
    },
    /// No gap is wide enough for a module to reach a place of the goal.
    CutOff {
        /// The place.
        target: CutOffPlace,
        /// All places that a module's centre can reach from there.
        enclosure: Enclosure,
        /// All decks that chains of the whole crew might reach: they limit how high a module can be.
        within_reach: Vec<GroundId>,
    },
    /// The bond of a slot fails in the final shape whichever module fills it, and no module is left to help.
    Overloaded {
        /// The slot.
        slot: SlotId,
        /// Its failure mode.
        governs: FailureMode,
        /// Least adhesion that the bond needs, in newtons.
        needs_n: f64,
        /// Adhesion that it may use when braced, in newtons.
        holds_n: f64,
    },
}

/// A place of the goal that a module has to reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutOffPlace {
    /// A slot.
    Slot(SlotId),
    /// The deck to gather on.
    Deck(GroundId),
}

/// A proof that the goal cannot be reached, if one of the known ones applies.
///
/// Optional slots are left aside: a goal that is impossible without them is impossible. Where the crew might stride, only the proofs that do not ask
/// how modules get to their places apply.
///
/// Complexity: linear in the cells visited for an enclosure, where the flood ends as soon as a way out is likely; otherwise quadratic in slots and
/// decks.
#[must_use]
pub fn impossible_goal(problem: &Problem) -> Option<Impossible> {
    if problem.goal.slots.iter().any(|slot| slot.optional) {
        return None;
    }
    let goes_by_trips = !can_stride(problem);
    // These know level decks, between which modules get only over other modules.
    let of_plain_sites = [too_few::to_reach, too_few::for_last, flood::cut_off];
    let goal_itself = || {
        goal_shape::counts(problem)
            .or_else(|| problem.is_one_size().then(|| goal_shape::geometry(problem)).flatten())
            .or_else(|| problem.is_plain().then(|| overloaded::overloaded(problem)).flatten())
    };
    let ways_there = || {
        goal_shape::stuck_elsewhere(problem).or_else(|| frozen::stands_in_the_way(problem)).or_else(|| {
            problem.is_plain().then(|| of_plain_sites.iter().find_map(|find| find(problem))).flatten()
        })
    };
    goal_itself().or_else(|| goes_by_trips.then(ways_there).flatten())
}

impl Impossible {
    /// Whether the proof holds, checked by a method independent of the one that found it.
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
