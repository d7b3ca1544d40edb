//! The layer `check`.

mod interrupts;
mod plan_mutations;
