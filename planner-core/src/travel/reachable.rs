//! The trips of one module, as data.

use super::Waypoint;
use crate::model::Placement;
use crate::motion::Refused;

/// One place a trip can end at.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// Where the module stands in the end.
    pub place: Placement,
    /// Time of the trip by the model's speeds, in seconds.
    pub time_s: f64,
    /// The way, without the start.
    pub waypoints: Vec<Waypoint>,
}

/// All trips of one module from where it stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reachable {
    /// Ends of trips, nearest first.
    pub ends: Vec<Reach>,
    /// Spots that were tried.
    pub spots: usize,
    /// Drives and hops refused because the load was not carried.
    pub refused_by_load: usize,
    /// One of these, each as likely as any other.
    pub(crate) refused: Refused,
    /// What was worked out and what was known already.
    pub reuse: Reuse,
}

/// What one search for trips worked out, and how often it used it again.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reuse {
    /// Load cases of rests that were judged.
    pub loads: u64,
    /// Times that such a judgement was known already.
    pub loads_known: u64,
    /// Faces with all that is in the way there.
    pub faces: u64,
    /// Times that such a face was there already.
    pub faces_known: u64,
}

impl Reuse {
    /// Both together.
    #[must_use]
    pub const fn plus(self, other: Self) -> Self {
        Self {
            loads: self.loads + other.loads,
            loads_known: self.loads_known + other.loads_known,
            faces: self.faces + other.faces,
            faces_known: self.faces_known + other.faces_known,
        }
    }
}
