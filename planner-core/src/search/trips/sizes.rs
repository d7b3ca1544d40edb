//! Heap memory owned by configurations and trips, in bytes; see [`memory`](crate::control::memory).

use crate::control::memory::list;
use crate::model::Placement;
use crate::motion::Move;
use crate::travel::{Trip, Way, Waypoint};

/// Heap memory owned by a configuration of so many modules.
pub(crate) const fn of_configuration(modules: usize) -> usize {
    list::<Placement>(modules)
}

/// Heap memory owned by a trip.
pub(crate) fn of_trip(trip: &Trip) -> usize {
    match &trip.way {
        Way::Alone(waypoints) => list::<Waypoint>(waypoints.capacity()),
        Way::Carrying(moves) => list::<Move>(moves.capacity()),
    }
}
