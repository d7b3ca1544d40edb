//! The open and closed lists: which configuration is expanded next, and which are known.

pub(crate) mod best_first;
pub(crate) mod closed_list;
pub(crate) mod symmetry;
