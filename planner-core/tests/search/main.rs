//! The layer `search`: planners against brute force, bounds against plans, proofs against near misses.

mod bounds;
mod brute_force;
mod budgets;
mod each_planner;
mod interrupts;
mod memory;
mod planners;
mod proofs;
mod shortening;
mod stopped;
#[path = "../support/mod.rs"]
mod support;
mod symmetry;
mod walking;
