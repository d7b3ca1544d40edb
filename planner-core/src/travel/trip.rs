//! A module's whole trip.

use super::Waypoint;
use crate::model::ModuleId;

/// One module goes from where it stands through waypoints; the last is where it stays.
#[derive(Clone, Debug, PartialEq)]
pub struct Trip {
    /// Who.
    pub module: ModuleId,
    /// The way, without the start.
    pub waypoints: Vec<Waypoint>,
}
