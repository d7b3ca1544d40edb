//! A trip and where it leads.

use super::sizes;
use crate::control::memory;
use crate::model::Configuration;
use crate::travel::Trip;

/// A trip and where it leads.
#[derive(Clone, Debug)]
pub(crate) struct Successor {
    pub(crate) trip: Trip,
    pub(crate) after: Configuration,
    pub(crate) time_s: f64,
}

impl Successor {
    /// What it keeps, in bytes.
    pub(crate) fn bytes(&self) -> usize {
        memory::row::<Self>() + sizes::of_configuration(self.after.len()) + sizes::of_trip(&self.trip)
    }
}
