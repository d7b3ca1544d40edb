//! How a search is interrupted, and how much memory it uses. One convention for all layers.
//!
//! Work that may take long is given an [`Interrupt`] or a [`Budget`], polls it regularly, and returns `Err(`[`Stopped`]`)` as soon as it has to stop.
//! Interrupted work has no result, and no part of it may be stored.

mod budget;
mod deferred_drop;
mod interrupt;
pub(crate) mod memory;

pub use budget::Budget;
pub(crate) use deferred_drop::{Kept, free};
pub(crate) use interrupt::uninterrupted;
pub use interrupt::{Interrupt, Stopped};
