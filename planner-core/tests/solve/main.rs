//! The layer `solve`: from a problem to the best plan there is time for.

mod anytime;
mod carried;
mod convoy;
mod crossing;
mod determinism;
mod digests;
mod grounds;
mod lost_parts;
mod nothing_to_spare;
mod optional_slots;
mod portfolio;
mod rearranging;
mod rough;
mod several_shapes;
#[path = "../support/mod.rs"]
mod support;
mod two_goals;
mod unsolved;
