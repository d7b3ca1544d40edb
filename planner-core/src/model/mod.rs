//! The model: kinds, decks and grounds, modules, configurations, bonds and touches.

mod bonds;
mod configuration;
mod crossing;
mod edition;
mod filling;
mod goal;
mod ground;
mod ids;
pub(crate) mod invalid;
mod kind;
pub(crate) mod nearest;
mod placement;
mod problem;
pub(crate) mod ranges;
mod site;
mod touch;
mod validate;

pub use bonds::{BondForest, BondGraph};
pub use configuration::Configuration;
pub use crossing::Brink;
pub use edition::Edition;
pub use goal::{Gather, Goal, Slot, SlotPlace};
pub use ground::{Deck, Ground, Stone, Surfacing, grounds};
pub use ids::{Body, DeckId, GroundId, KindId, ModuleId, SlotId, StoneId};
pub use invalid::{Invalid, InvalidValue, Unanswered};
pub use kind::Kind;
pub use placement::{Hold, Placement, PlacementError};
pub use problem::{LostParts, Module, Problem};
pub use site::{Limits, STANDARD_GRAVITY_MPS2, Site, ambient_pressure_pa};
pub use touch::{Touch, touches};
