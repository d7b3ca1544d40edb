//! Drives the real binary: exit codes, files, JSON, and what people read.

mod check;
mod inspect;
mod interrupt;
mod pipes;
mod plan;
mod scenes;
mod script;
mod show;
mod support;
mod surface;
