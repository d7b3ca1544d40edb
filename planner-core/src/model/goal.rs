//! Goals: what must hold at the end of a plan.

use super::{DeckId, GroundId, Hold, KindId, ModuleId, SlotId};
use crate::math::{DVec2, DVec3};

/// Slots to fill and modules to gather; both must be met.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Goal {
    /// Places to fill; hosts come before the slots that stand on them.
    pub slots: Vec<Slot>,
    /// A number of modules that have to stand on one deck.
    pub gather: Option<Gather>,
}

impl Goal {
    /// Whether the goal asks for nothing.
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
    /// Its place.
    pub place: SlotPlace,
    /// The kind that may fill it; `None` for any.
    pub kind: Option<KindId>,
    /// The one module that may fill it; `None` for any.
    pub module: Option<ModuleId>,
    /// The hold required at the end; `None` for either.
    pub hold: Option<Hold>,
    /// Mass to carry at the slot's centre at the end, in kilograms.
    pub payload_kg: f64,
    /// Whether it may stay empty.
    pub optional: bool,
}

/// The place of a slot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SlotPlace {
    /// On a ground, with its centre above this point (`x`, `y` in metres, world frame).
    OnGround(GroundId, DVec2),
    /// On the module that fills another slot, in this direction (unit, world frame).
    OnSlot(SlotId, DVec3),
}

/// At least `count` modules that stand on a ground, or on one deck of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gather {
    /// The ground.
    pub ground: GroundId,
    /// The deck of this ground within whose outline they stand; `None` where any place of the ground will do.
    pub within: Option<DeckId>,
    /// The least number of modules.
    pub count: usize,
}
