//! How a search is told to stop, and what the things that it keeps weigh. One convention for all layers.
//!
//! Whatever may take long is given an [`Interrupt`] or a [`Budget`], asks it as it goes, and returns `Err(`[`Stopped`]`)` as soon as it is told to
//! stop. What was given up has no answer, and nothing about it may be remembered.

mod budget;
mod deferred_drop;
mod interrupt;
pub(crate) mod memory;

pub use budget::Budget;
pub(crate) use deferred_drop::{Kept, free};
pub(crate) use interrupt::uninterrupted;
pub use interrupt::{Interrupt, Stopped};
