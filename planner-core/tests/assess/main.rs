//! The layer `assess`: single failures and chances, against closed forms and published values.

mod arms;
mod compliance;
mod risk;
#[path = "../support/mod.rs"]
mod support;
mod what_if;
