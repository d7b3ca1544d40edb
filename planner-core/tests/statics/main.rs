//! The layers `statics` and `motion`: published numbers, a second conic solver, dense samples of whole moves.

mod cone_programme;
mod motion;
mod published_adhesion;
mod published_statics;
mod rider;
mod slopes;
#[path = "../support/mod.rs"]
mod support;
