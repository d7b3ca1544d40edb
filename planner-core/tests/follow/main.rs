//! The layer `follow`: measured poses are settled, plans are followed on crews that do not do as they are told.

#![allow(clippy::disallowed_methods, reason = "tests open files")]

mod following;
mod replans;
mod settle;
mod stops;
#[path = "../support/mod.rs"]
mod support;
