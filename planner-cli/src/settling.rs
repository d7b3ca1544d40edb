//! Turns the trips of a search into a timed plan, and lets the checker judge it before anybody sees it.

use crate::args::PlanArgs;
use crate::failure::Failure;
use crate::findings;
use crate::wording;
use clamber_core::check::check_plan;
use clamber_core::model::Problem;
use clamber_core::motion::{Plan, PlannerNote, Status};
use clamber_core::schedule::{ScheduleError, one_by_one};
use clamber_core::search::Outcome;

/// The plan of an outcome, timed but not checked.
pub(crate) fn timed(problem: &Problem, args: &PlanArgs, outcome: &Outcome) -> Result<Plan, ScheduleError> {
    let planner = PlannerNote::new(args.planner.planner().name(), args.seed);
    // A scene that was proved impossible has no finite bound, and files hold finite numbers only.
    let lower_bound_s = if outcome.lower_bound_s.is_finite() { outcome.lower_bound_s } else { 0.0 };
    one_by_one(problem, &outcome.trips, planner, outcome.status, lower_bound_s)
}

/// The plan of an outcome, checked. For an unsolved scene it leads part of the way and is sound as far as it goes.
pub(crate) fn settle(problem: &Problem, args: &PlanArgs, outcome: &Outcome) -> Result<Plan, Failure> {
    let plan = timed(problem, args, outcome).map_err(|error| {
        Failure::not_sound(format!(
            "not solved: a sequence of {} was found, but it cannot be timed: {error}; nothing was written",
            wording::count(outcome.trips.len(), "trip")
        ))
    })?;
    let solved = plan.status == Status::Solved;
    let mut found = check_plan(problem, &plan).findings;
    // That a part of the way does not reach the goal is no fault of it.
    found.retain(|finding| solved || finding.rule != "goal");
    if found.is_empty() {
        return Ok(plan);
    }
    Err(Failure::not_sound(format!(
        "{}internal error: the plan that was found does not pass the check: {}; nothing was written\n\
         Please report this with the scene, planner {}, seed {} and greed {}.",
        findings::list(problem, &plan, &found),
        wording::count(found.len(), "finding"),
        plan.planner.name,
        args.seed,
        args.greed
    )))
}
