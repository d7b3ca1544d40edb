//! The file layer from outside: what it reads, what it refuses and in which words, what it writes.

#![allow(clippy::disallowed_methods, reason = "tests open files")]

mod broken;
mod digest;
mod hostile;
mod kinds;
mod model_page;
mod plan;
mod round_trip;
mod schema;
mod support;
