//! How a search ended.

use super::best_first::Found;
use super::{Impossible, Stop, Stoppers, makespan_lower_bound_s};
use crate::model::Problem;
use crate::motion::Status;
use crate::travel::{Reuse, Trip};

/// What a search did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Statistics {
    /// Configurations whose trips were worked out.
    pub expanded: u64,
    /// Trips found, all told.
    pub generated: u64,
    /// Trips that led to a shape seen before at no less time.
    pub duplicates: u64,
    /// Of these, those in which like modules have changed places.
    pub renamed: u64,
    /// Of these, those seen before turned or mirrored only.
    pub mirrored: u64,
    /// Distinct shapes kept.
    pub kept: u64,
    /// Drives and hops refused because the load was not carried.
    pub refused_by_load: u64,
    /// What the searches for trips worked out and what they knew already.
    pub reuse: Reuse,
    /// What is kept, reckoned in bytes; of several searches the most.
    pub bytes: u64,
}

impl Statistics {
    /// Both together; of the bytes the most.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            expanded: self.expanded + other.expanded,
            generated: self.generated + other.generated,
            duplicates: self.duplicates + other.duplicates,
            renamed: self.renamed + other.renamed,
            mirrored: self.mirrored + other.mirrored,
            kept: self.kept + other.kept,
            refused_by_load: self.refused_by_load + other.refused_by_load,
            reuse: self.reuse.plus(other.reuse),
            bytes: self.bytes.max(other.bytes),
        }
    }
}

/// The outcome of a search.
///
/// `trips` is the whole way when [`Status::Solved`]; after [`Status::BudgetSpent`] and [`Status::Cancelled`] it leads to the
/// most promising configuration found, if there is one better than the start. `lower_bound_s` holds for every status.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// How it ended.
    pub status: Status,
    /// The trips, one after the other.
    pub trips: Vec<Trip>,
    /// Other solutions that were found on the way. They take longer one trip after the other, but may take less time side by side.
    pub alternatives: Vec<Vec<Trip>>,
    /// No plan for the problem has a shorter makespan.
    pub lower_bound_s: f64,
    /// What the search did.
    pub statistics: Statistics,
    /// Why it is impossible, or why the search ended without an answer although nothing stopped it.
    pub note: Option<String>,
    /// What stopped the search, if something did.
    pub stop: Option<Stop>,
    /// What stopped the crew: the moves that were refused because the load was not carried, by cause.
    pub stoppers: Stoppers,
}

impl Outcome {
    pub(super) fn impossible(problem: &Problem, proof: &Impossible) -> Self {
        let mut outcome = Self::nothing(Status::ProvedImpossible, f64::INFINITY);
        outcome.note = Some(proof.describe(problem));
        outcome
    }

    /// Solved by something quicker than a search.
    pub(super) fn solved(problem: &Problem, trips: Vec<Trip>) -> Self {
        let mut outcome = Self::nothing(Status::Solved, makespan_lower_bound_s(problem));
        outcome.statistics.expanded = trips.len() as u64;
        outcome.trips = trips;
        outcome
    }

    /// Stopped before anything was found.
    pub(super) fn stopped(problem: &Problem, stop: Stop) -> Self {
        let mut outcome = Self::nothing(status_of(stop), makespan_lower_bound_s(problem));
        outcome.stop = Some(stop);
        outcome
    }

    pub(super) fn of_search(problem: &Problem, found: Found) -> Self {
        let (status, note) = match found.unfinished {
            None => (Status::Solved, None),
            Some(Some(stop)) => (status_of(stop), None),
            Some(None) => {
                let note = "every trip between the spots that were tried is used up; that proves nothing about other places";
                (Status::BudgetSpent, Some(note.to_owned()))
            }
        };
        let mut outcome = Self::nothing(status, makespan_lower_bound_s(problem));
        outcome.trips = found.trips;
        outcome.statistics = found.statistics;
        outcome.note = note;
        outcome.stop = found.unfinished.flatten();
        outcome.stoppers = found.stoppers;
        outcome
    }

    pub(super) fn nothing(status: Status, lower_bound_s: f64) -> Self {
        Self {
            status,
            trips: Vec::new(),
            alternatives: Vec::new(),
            lower_bound_s,
            statistics: Statistics::default(),
            note: None,
            stop: None,
            stoppers: Stoppers::default(),
        }
    }
}

fn status_of(stop: Stop) -> Status {
    match stop {
        Stop::Spent | Stop::Full => Status::BudgetSpent,
        Stop::Cancelled => Status::Cancelled,
    }
}
