//! The layers `scene` and `generate`: what is read, what is refused and in which words, what is written; scenes from seeds.

#![allow(clippy::disallowed_methods, reason = "tests open files")]

mod broken;
mod digest;
mod editions;
mod fixtures;
mod generate;
mod hostile;
mod kinds;
mod large_crews;
mod model_page;
mod plan;
mod random_values;
mod round_trip;
mod schema;
#[path = "../support/mod.rs"]
mod support;
mod values;
