//! Guidance of a search: estimates, novelty, what is missing of the goal, and why moves were refused.

pub(crate) mod assignment;
pub(crate) mod gathering;
pub(crate) mod getting_over;
pub(crate) mod goal;
pub(crate) mod leads_over;
pub(crate) mod novelty;
pub(crate) mod shape_goal;
pub(crate) mod stoppers;
