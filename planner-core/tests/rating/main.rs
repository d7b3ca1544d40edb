//! The layer `rating`: statistics against published values, rated holds against closed forms, and how often limits cover the truth.

mod coverage;
mod made;
mod published;
mod rated_holds;
mod remarks;
mod rocking;
mod wrong_input;
