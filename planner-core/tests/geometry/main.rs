//! The layers `geometry` and `model`: published numbers, closed forms, fine scans.

mod brute_force;
mod grounds;
mod model;
mod outlines;
mod published;
mod published_surfaces;
mod spreading;
#[path = "../support/mod.rs"]
mod support;
