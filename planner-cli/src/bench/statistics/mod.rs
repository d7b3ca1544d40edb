//! Scores and statistics of races. Plain numbers in and out; nothing here knows of rows, scenes or planners.

pub(crate) mod bootstrap;
pub(crate) mod cactus;
pub(crate) mod holm;
pub(crate) mod means;
pub(crate) mod permutation;
pub(crate) mod profile;
pub(crate) mod random;
pub(crate) mod scores;
