//! Lets a crew over from deck to deck: builds a structure over which some modules go, brings the rest after, and begins again.
//!
//! A module is stuck where its accessible surface does not reach the other deck. The search looks first, by geometry alone, for the
//! smallest structures that would connect the two; then for counterweights so that they carry those who build and those who go over; and only
//! then for the order in which they are built, backwards from the finished structure.

mod journey;
mod keystone;
mod parking;
mod run;
mod shoring;
mod site;
mod span;
mod staging;
mod take_down;

pub(super) use journey::{Journey, Scout, turned_round};
pub(super) use parking::parking;
pub(super) use site::Site;
pub(super) use take_down::{Home, raised, take_down};

use super::planner::{InputError, Observer, Options, Planner, validate};
use super::{Budget, Outcome, Stop, impossible_goal, makespan_lower_bound_s};
use crate::model::Problem;
use crate::motion::Status;
use run::Run;

/// Builds bridges of modules.
#[derive(Clone, Copy, Debug, Default)]
pub struct Bridging;

impl Planner for Bridging {
    fn name(&self) -> &'static str {
        "bridging"
    }

    fn plan(
        &self,
        problem: &Problem,
        options: &Options,
        budget: &Budget<'_>,
        observer: &dyn Observer,
    ) -> Result<Outcome, InputError> {
        validate(problem, options)?;
        if let Some(proof) = impossible_goal(problem) {
            return Ok(Outcome::impossible(problem, &proof));
        }
        let mut run = Run::new(problem, options.seed, budget);
        let ended = run.gather(observer);
        let (statistics, stoppers, stop) = (run.statistics, run.stoppers, ended.err());
        let (status, note) = match ended {
            Ok(true) => (Status::Solved, None),
            Ok(false) => (
                Status::BudgetSpent,
                Some("no structure that was tried lets the rest of the crew over".to_owned()),
            ),
            Err(Stop::Spent | Stop::Full) => (Status::BudgetSpent, None),
            Err(Stop::Cancelled) => (Status::Cancelled, None),
        };
        let lower_bound_s = makespan_lower_bound_s(problem);
        Ok(Outcome {
            status,
            trips: run.journey.trips,
            alternatives: Vec::new(),
            lower_bound_s,
            statistics,
            note,
            stop,
            stoppers,
        })
    }
}
