//! The layer `check`.

mod clearance;
mod endless_numbers;
mod interrupts;
mod plan_mutations;
mod recovery;
