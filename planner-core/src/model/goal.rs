//! What must be true in the end.

use super::{DeckId, Hold, KindId, ModuleId, SlotId};
use crate::math::{DVec2, DVec3};

/// Slots to fill and modules to gather; both must be met.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Goal {
    /// Places to fill, hosts before those that stand on them.
    pub slots: Vec<Slot>,
    /// A count of modules to stand on one deck.
    pub gather: Option<Gather>,
}

impl Goal {
    /// Whether nothing is asked.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.slots.is_empty() && self.gather.is_none()
    }
}

/// A place to fill.
#[derive(Clone, Debug, PartialEq)]
pub struct Slot {
    /// Its name in the scene.
    pub name: String,
    /// Where it is.
    pub place: SlotPlace,
    /// The kind that may fill it; any when absent.
    pub kind: Option<KindId>,
    /// The one module that may fill it; any when absent.
    pub module: Option<ModuleId>,
    /// The hold asked in the end; either when absent.
    pub hold: Option<Hold>,
    /// Mass to carry at the slot's centre in the end, in kilograms.
    pub payload_kg: f64,
}

/// Where a slot is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SlotPlace {
    /// On a deck, with its centre above this point.
    OnDeck(DeckId, DVec2),
    /// On the module that fills another slot, in this direction (unit, world frame).
    OnSlot(SlotId, DVec3),
}

/// At least `count` modules whose bond is on `deck`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gather {
    /// The deck.
    pub deck: DeckId,
    /// How many.
    pub count: usize,
}
