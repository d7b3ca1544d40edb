//! The layers `schedule`, `check` and `course`: plans laid out in time, and what may be wrong with them.

mod check;
mod course;
mod critical_paths;
mod interrupts;
mod side_by_side;
#[path = "../support/mod.rs"]
mod support;
mod time_use;
