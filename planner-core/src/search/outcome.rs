//! How a search ended.

use super::best_first::Found;
use super::{Impossible, Stop, makespan_lower_bound_s};
use crate::model::Problem;
use crate::motion::Status;
use crate::travel::Trip;

/// What a search did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Statistics {
    /// Configurations whose trips were worked out.
    pub expanded: u64,
    /// Trips found, all told.
    pub generated: u64,
    /// Trips that led to a shape seen before at no less time.
    pub duplicates: u64,
    /// Distinct shapes kept.
    pub kept: u64,
    /// Drives and hops refused because the load was not carried.
    pub refused_by_load: u64,
}

impl Statistics {
    /// Both together.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            expanded: self.expanded + other.expanded,
            generated: self.generated + other.generated,
            duplicates: self.duplicates + other.duplicates,
            kept: self.kept + other.kept,
            refused_by_load: self.refused_by_load + other.refused_by_load,
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
    /// Why it is impossible, or what stopped the search most often.
    pub note: Option<String>,
}

impl Outcome {
    pub(super) fn impossible(problem: &Problem, proof: &Impossible) -> Self {
        Self {
            status: Status::ProvedImpossible,
            trips: Vec::new(),
            alternatives: Vec::new(),
            lower_bound_s: f64::INFINITY,
            statistics: Statistics::default(),
            note: Some(proof.describe(problem)),
        }
    }

    /// Solved by something quicker than a search.
    pub(super) fn solved(problem: &Problem, trips: Vec<Trip>) -> Self {
        let expanded = trips.len() as u64;
        Self {
            status: Status::Solved,
            trips,
            alternatives: Vec::new(),
            lower_bound_s: makespan_lower_bound_s(problem),
            statistics: Statistics { expanded, ..Statistics::default() },
            note: None,
        }
    }

    /// Stopped before anything was found.
    pub(super) fn stopped(problem: &Problem, stop: Stop) -> Self {
        let status = if stop == Stop::Cancelled { Status::Cancelled } else { Status::BudgetSpent };
        Self {
            status,
            trips: Vec::new(),
            alternatives: Vec::new(),
            lower_bound_s: makespan_lower_bound_s(problem),
            statistics: Statistics::default(),
            note: None,
        }
    }

    pub(super) fn of_search(problem: &Problem, found: Found) -> Self {
        let (status, note) = match found.unfinished {
            None => (Status::Solved, None),
            Some(Some(Stop::Cancelled)) => (Status::Cancelled, None),
            Some(Some(Stop::Spent)) => (Status::BudgetSpent, None),
            Some(None) => {
                let note = "every trip between the spots that were tried is used up; that proves nothing about other places";
                (Status::BudgetSpent, Some(note.to_owned()))
            }
        };
        let lower_bound_s = makespan_lower_bound_s(problem);
        Self {
            status,
            trips: found.trips,
            alternatives: Vec::new(),
            lower_bound_s,
            statistics: found.statistics,
            note,
        }
    }
}
