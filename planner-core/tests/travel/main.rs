//! The layer `travel`: where one module can go, and sequences by hand made of nothing but such trips.

mod by_hand;
mod crossings;
mod rests;
mod routes;
mod sorted_rims;
#[path = "../support/mod.rs"]
mod support;
mod survey;
mod trips;
