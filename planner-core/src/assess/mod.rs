//! What may go wrong with a plan: single failures at any instant, and the chance that it holds.
//!
//! A plan goes in, tables come out. The structures of the plan are those of the check, and each failure is one of them with one thing changed; so what
//! is said about loads is proven over whole spans of time, as the check proves it.

mod compliance;
mod failure;
mod help;
mod risk;
mod stall;
mod touch;
mod trial;
mod verdict;
mod what_if;

pub use compliance::{Compliance, Droop, Misplaced, compliance};
pub use failure::{Failure, HEAVIER};
pub use help::{Counterweight, Help};
pub use risk::{
    BondChance, COMMON_CAUSES, Estimate, HalfSpace, Risk, Scatter, Scenario, ScenarioRow, Spread,
    chance_below, risk, union_chance,
};
pub use stall::StallRow;
pub use touch::TouchRow;
pub use trial::Trial;
pub use verdict::Verdict;
pub use what_if::{FailureRow, Piece, WhatIf, survival, what_if, what_if_any};
