//! The model: kinds, decks, modules, configurations, bonds and touches.

mod bonds;
mod configuration;
mod deck;
mod filling;
mod goal;
mod ids;
mod kind;
mod placement;
mod problem;
mod site;
mod touch;

pub use bonds::{BondForest, BondGraph};
pub use configuration::Configuration;
pub use deck::Deck;
pub use goal::{Gather, Goal, Slot, SlotPlace};
pub use ids::{Body, DeckId, KindId, ModuleId, SlotId};
pub use kind::Kind;
pub use placement::{Hold, Placement, PlacementError};
pub use problem::{Module, Problem};
pub use site::{Limits, STANDARD_GRAVITY_MPS2, Site, ambient_pressure_pa};
pub use touch::{Touch, touches};
