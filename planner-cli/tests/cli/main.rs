//! Drives the real binary: exit codes, files, JSON, and what people read.

mod check;
mod generated;
mod inspect;
mod interrupt;
mod pipes;
mod plan;
mod scenes;
mod script;
mod support;
mod surface;
