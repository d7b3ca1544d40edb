//! How a search ended.

use super::frontier::closed_list::{Known, ShapeKey};
use super::{Impossible, Stoppers, makespan_lower_bound_s};
use crate::control::Stopped;
use crate::model::{Configuration, Problem};
use crate::plan::Status;
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
    /// Counts a configuration that was found; its key if it is new.
    pub(crate) fn count(&mut self, known: Known) -> Option<ShapeKey> {
        let (renamed, mirrored) = match known {
            Known::New(key) => return Some(key),
            Known::Same { renamed } => (renamed, false),
            Known::Mirrored => (false, true),
        };
        self.duplicates += 1;
        self.renamed += u64::from(renamed);
        self.mirrored += u64::from(mirrored);
        None
    }

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
    /// The certificate, if the goal is impossible.
    pub proof: Option<Impossible>,
    /// Why the search ended without an answer although nothing stopped it.
    pub note: Option<String>,
    /// What stopped the search, if something did.
    pub stop: Option<Stopped>,
    /// What stopped the crew: the moves that were refused because the load was not carried, by cause.
    pub stoppers: Stoppers,
}

/// How a search over shapes ended.
pub(crate) struct Found {
    /// Trips to the goal, or to the configuration nearest to it.
    pub(crate) trips: Vec<Trip>,
    pub(crate) last: Configuration,
    pub(crate) ended: Ended,
    pub(crate) statistics: Statistics,
    pub(crate) stoppers: Stoppers,
}

/// Why a search over shapes went no further.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ended {
    /// It is at the goal.
    AtGoal,
    /// Nothing is left to try.
    Exhausted,
    /// It was told to stop.
    Stopped(Stopped),
}

impl Outcome {
    pub(crate) fn impossible(proof: Impossible) -> Self {
        Self { proof: Some(proof), ..Self::nothing(Status::ProvedImpossible, f64::INFINITY) }
    }

    /// Solved by something quicker than a search.
    pub(crate) fn solved(problem: &Problem, trips: Vec<Trip>) -> Self {
        let mut outcome = Self::nothing(Status::Solved, makespan_lower_bound_s(problem));
        outcome.statistics.expanded = trips.len() as u64;
        outcome.trips = trips;
        outcome
    }

    /// Stopped before anything was found.
    pub(crate) fn stopped(problem: &Problem, stop: Stopped) -> Self {
        let mut outcome = Self::nothing(status_of(stop), makespan_lower_bound_s(problem));
        outcome.stop = Some(stop);
        outcome
    }

    pub(crate) fn of_search(problem: &Problem, found: Found) -> Self {
        let (status, note, stop) = match found.ended {
            Ended::AtGoal => (Status::Solved, None, None),
            Ended::Stopped(stop) => (status_of(stop), None, Some(stop)),
            Ended::Exhausted => {
                let note = "every trip between the spots that were tried is used up; that proves nothing about other places";
                (Status::BudgetSpent, Some(note.to_owned()), None)
            }
        };
        Self {
            trips: found.trips,
            statistics: found.statistics,
            note,
            stop,
            stoppers: found.stoppers,
            ..Self::nothing(status, makespan_lower_bound_s(problem))
        }
    }

    pub(crate) fn nothing(status: Status, lower_bound_s: f64) -> Self {
        Self {
            status,
            trips: Vec::new(),
            alternatives: Vec::new(),
            lower_bound_s,
            statistics: Statistics::default(),
            proof: None,
            note: None,
            stop: None,
            stoppers: Stoppers::default(),
        }
    }
}

/// The status of a search that was told to stop.
pub(crate) const fn status_of(stop: Stopped) -> Status {
    match stop {
        Stopped::Spent | Stopped::Full => Status::BudgetSpent,
        Stopped::Cancelled => Status::Cancelled,
    }
}
