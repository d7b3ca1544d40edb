//! What configurations and trips own, in bytes; see [`memory`].

use crate::control::memory::list;
use crate::model::Placement;
use crate::travel::{Trip, Way, Waypoint};

/// What a configuration of so many modules owns.
pub(crate) const fn of_configuration(modules: usize) -> usize {
    list::<Placement>(modules)
}

/// What a trip owns.
pub(crate) fn of_trip(trip: &Trip) -> usize {
    match &trip.way {
        Way::Alone(waypoints) => list::<Waypoint>(waypoints.capacity()),
        Way::Carrying(_) => 0,
    }
}
