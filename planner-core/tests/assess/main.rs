//! The layer `assess`: single failures against closed forms and against dense instants.

#[path = "../support/mod.rs"]
mod support;
mod what_if;
