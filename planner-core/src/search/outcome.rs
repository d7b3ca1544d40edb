//! How a search ended.

use super::frontier::closed_list::{Known, ShapeKey};
use super::{Impossible, Stoppers, makespan_lower_bound_s};
use crate::control::Stopped;
use crate::model::{Configuration, Problem};
use crate::plan::Status;
use crate::travel::{Reuse, Trip};

/// Counters of a search.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub struct Statistics {
    /// Number of configurations expanded: those whose trips were computed.
    pub expanded: u64,
    /// Total number of trips found.
    pub generated: u64,
    /// Number of trips that led to a known shape in no less time.
    pub duplicates: u64,
    /// Of these, those in which like modules are interchanged.
    pub renamed: u64,
    /// Of these, those known only as an image under a symmetry.
    pub mirrored: u64,
    /// Number of distinct shapes kept.
    pub kept: u64,
    /// Number of drives and hops refused because the load was not carried.
    pub refused_by_load: u64,
    /// What the searches for trips computed and what they reused.
    pub reuse: Reuse,
    /// Estimated memory in use, in bytes; of several searches the greatest.
    pub bytes: u64,
}

impl Statistics {
    /// Counts a configuration that was found; returns its key if it is new.
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

    /// The sum of both; of the bytes the greater.
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
/// `trips` is the whole trip sequence when [`Status::Solved`]. After [`Status::BudgetSpent`] and [`Status::Cancelled`] it leads to the most promising
/// configuration found, if there is one better than the start. `lower_bound_s` holds for every status.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// How it ended.
    pub status: Status,
    /// The trips, one after the other.
    pub trips: Vec<Trip>,
    /// Other solutions that were found on the way. They take longer as a sequence, but may take less time when scheduled in parallel.
    pub alternatives: Vec<Vec<Trip>>,
    /// A lower bound on the makespan of every plan for the problem, in seconds.
    pub lower_bound_s: f64,
    /// Counters of the search.
    pub statistics: Statistics,
    /// The certificate, if the goal is impossible.
    pub proof: Option<Impossible>,
    /// Why the search ended without an answer, or how far it came; for a solution, why its planner was chosen.
    pub note: Option<String>,
    /// What interrupted the search, if something did.
    pub stop: Option<Stopped>,
    /// The moves that were refused because the load was not carried, by cause.
    pub stoppers: Stoppers,
}

/// The result of a search over shapes.
pub(crate) struct Found {
    /// Trips to the goal, or to the configuration nearest to it.
    pub(crate) trips: Vec<Trip>,
    pub(crate) last: Configuration,
    pub(crate) ended: Ended,
    pub(crate) statistics: Statistics,
    pub(crate) stoppers: Stoppers,
}

/// Why a search over shapes ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ended {
    /// The last configuration meets the goal.
    AtGoal,
    /// No configuration is left to expand.
    Exhausted,
    /// The search was interrupted.
    Stopped(Stopped),
}

impl Outcome {
    pub(crate) fn impossible(proof: Impossible) -> Self {
        Self { proof: Some(proof), ..Self::nothing(Status::ProvedImpossible, f64::INFINITY) }
    }

    /// The outcome of a method that is quicker than a search.
    pub(crate) fn solved(problem: &Problem, trips: Vec<Trip>) -> Self {
        let mut outcome = Self::nothing(Status::Solved, makespan_lower_bound_s(problem));
        outcome.statistics.expanded = trips.len() as u64;
        outcome.trips = trips;
        outcome
    }

    /// Interrupted before anything was found.
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

/// The status of a search that was interrupted.
pub(crate) const fn status_of(stop: Stopped) -> Status {
    match stop {
        Stopped::Spent | Stopped::Full => Status::BudgetSpent,
        Stopped::Cancelled => Status::Cancelled,
    }
}
