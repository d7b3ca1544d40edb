//! Moves a crew from deck to deck: builds a structure over which some modules cross, brings the rest after, and begins again.
//!
//! A module is stuck where its accessible surface does not reach the other deck. By geometry alone, the search first finds the smallest structures
//! that would connect the two. Then it finds counterweights so that they carry the modules that build and cross. Only then does it find the order in
//! which they are built, backwards from the finished structure.

mod counterweights;
mod crossing;
mod driving_over;
mod getting_off;
mod parking;
mod site;
mod span;
mod staging;
mod take_down;
mod transfer_structure;

pub(super) use parking::parking;
pub(super) use site::CrossingSite;
pub(super) use take_down::{Home, raised, take_down};

use crate::math::SplitMix64;
use crate::plan::Status;
use crate::search::outcome::status_of;
use crate::search::planner::Task;
use crate::search::{Outcome, Planner, makespan_lower_bound_s};
use crossing::Crossing;

/// The planner that builds bridges of modules.
#[derive(Clone, Copy, Debug, Default)]
pub struct Bridging;

impl Planner for Bridging {
    fn name(&self) -> &'static str {
        "bridging"
    }

    fn search(&self, task: &Task<'_>) -> Outcome {
        Self::search_with(Crossing::new(task.problem, task.options.seed, task.budget), task)
    }
}

impl Bridging {
    /// The same search with other structures: of those that would do, some are skipped.
    pub(crate) fn another(task: &Task<'_>) -> Outcome {
        let mut crossing = Crossing::new(task.problem, task.options.seed, task.budget);
        crossing.variety = Some(SplitMix64::new(task.options.seed));
        Self::search_with(crossing, task)
    }

    fn search_with(mut crossing: Crossing<'_, '_>, task: &Task<'_>) -> Outcome {
        let ended = crossing.reach_goal(task.observer);
        let (status, note) = match ended {
            Ok(true) => (Status::Solved, None),
            Ok(false) => {
                let note = "no structure that was tried lets the rest of the crew over";
                (Status::BudgetSpent, Some(note.to_owned()))
            }
            Err(stop) => (status_of(stop), None),
        };
        Outcome {
            trips: crossing.sequence.trips,
            statistics: crossing.statistics,
            note,
            stop: ended.err(),
            stoppers: crossing.stoppers,
            ..Outcome::nothing(status, makespan_lower_bound_s(task.problem))
        }
    }
}
