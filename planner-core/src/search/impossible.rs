//! Goals that no crew of this scene can reach, whatever it does. Each is a certificate that can be checked by looking at the goal alone.

use super::assignment::Targets;
use crate::math::tolerance;
use crate::model::{Body, DeckId, ModuleId, Problem, SlotId, SlotPlace};

/// Why a goal is impossible.
#[derive(Clone, Copy, Debug, PartialEq)]
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
    /// A module that the goal names elsewhere is stuck on a deck.
    StuckElsewhere {
        /// The slot.
        slot: SlotId,
        /// The module.
        module: ModuleId,
    },
}

impl Impossible {
    /// The proof as a sentence without a full stop.
    #[must_use]
    pub fn describe(&self, problem: &Problem) -> String {
        let slot = |id: SlotId| &problem.goal.slots[id.index()].name;
        match *self {
            Self::TooFewToGather { crew, asked } => {
                format!("the crew has {crew} modules and {asked} are to gather")
            }
            Self::NoAssignment => {
                format!(
                    "no assignment of the {} modules fills all {} slots",
                    problem.modules.len(),
                    problem.goal.slots.len()
                )
            }
            Self::SlotsOverlap { a, b, apart_m, needed_m } => format!(
                "slots {} and {} are {:.1} mm apart, and modules in them need at least {:.1} mm",
                slot(a),
                slot(b),
                apart_m * 1e3,
                needed_m * 1e3
            ),
            Self::SlotInSolid { slot: id, deck } => {
                format!("a module in slot {} would be inside {}", slot(id), problem.name_of(Body::Deck(deck)))
            }
            Self::SlotOverEdge { slot: id } => {
                format!("a foot in slot {} would stand over the edge of its deck", slot(id))
            }
            Self::StuckElsewhere { slot: id, module } => {
                format!(
                    "slot {} is for {}, which is stuck on a deck somewhere else",
                    slot(id),
                    problem.module_name(module)
                )
            }
        }
    }
}

/// Twice the slot tolerance: by so much two modules in their slots may be nearer than their slots.
const PLAY_M: f64 = 2.0 * tolerance::SLOT_M;

/// A proof that the goal cannot be reached, if one of the simple ones applies.
#[must_use]
pub fn impossible_goal(problem: &Problem) -> Option<Impossible> {
    if let Some(gather) = problem.goal.gather
        && gather.count > problem.modules.len()
    {
        return Some(Impossible::TooFewToGather { crew: problem.modules.len(), asked: gather.count });
    }
    let targets = Targets::new(problem);
    if !problem.goal.slots.is_empty() && targets.assign(problem, &problem.start).is_none() {
        return Some(Impossible::NoAssignment);
    }
    let one_size = problem.kinds.iter().all(|k| {
        k.shell_radius_m == problem.kinds[0].shell_radius_m
            && k.ride_height_m == problem.kinds[0].ride_height_m
    });
    if !one_size {
        return stuck_elsewhere(problem); // places depend on who fills them: no simple proof
    }
    geometry(problem, &targets).or_else(|| stuck_elsewhere(problem))
}

fn geometry(problem: &Problem, targets: &Targets) -> Option<Impossible> {
    let radius = problem.kinds.first()?.shell_radius_m;
    let foot = problem.kinds.iter().map(|k| k.foot_radius_m).fold(f64::INFINITY, f64::min);
    let places: Vec<_> = targets.all_places().collect();
    for (index, place) in places.iter().enumerate() {
        let slot = SlotId::at(index);
        for deck in problem.deck_ids() {
            if problem.decks[deck.index()].solid.distance(*place) < radius - PLAY_M {
                return Some(Impossible::SlotInSolid { slot, deck });
            }
        }
        if let SlotPlace::OnDeck(deck, at) = problem.goal.slots[index].place
            && problem.decks[deck.index()].solid.inset(at) < foot - PLAY_M
        {
            return Some(Impossible::SlotOverEdge { slot });
        }
        for (other, beside) in places.iter().enumerate().skip(index + 1) {
            let (apart_m, needed_m) = (place.distance(*beside), 2.0 * radius);
            if apart_m < needed_m - PLAY_M {
                return Some(Impossible::SlotsOverlap { a: slot, b: SlotId::at(other), apart_m, needed_m });
            }
        }
    }
    None
}

/// A stuck module on a deck never moves: nothing can carry it.
fn stuck_elsewhere(problem: &Problem) -> Option<Impossible> {
    problem.goal.slots.iter().enumerate().find_map(|(index, slot)| {
        let module = slot.module.filter(|m| problem.modules[m.index()].stuck)?;
        let place = problem.start.get(module);
        place.host.deck()?;
        let there = match slot.place {
            SlotPlace::OnDeck(deck, at) => {
                place.host == Body::Deck(deck) && place.position.truncate().distance(at) <= tolerance::SLOT_M
            }
            SlotPlace::OnSlot(..) => false,
        };
        (!there).then_some(Impossible::StuckElsewhere { slot: SlotId::at(index), module })
    })
}
