//! Times a sequence of trips, one move after the other, with the braces that are needed.

use super::bracing::choose_holds;
use super::crew::Crew;
use super::drive_sequence::DriveSequence;
use super::figures::{Scope, Timed};
use super::loads::Loads;
use super::sequence::moves_of_trips;
use super::timing::{Heading, plan_of};
use super::{PAUSE_S, ScheduleError};
use crate::control::Budget;
use crate::model::Problem;
use crate::plan::{Plan, PlannerNote, Status};
use crate::travel::Trip;

/// Times trips one move after the other, puts in braces and releases, and works out all figures.
///
/// `status` is written into the plan; for [`Status::Solved`] the holds and payloads of the goal are seen to at the end.
///
/// # Errors
/// When a trip cannot be made, or no bracing carries it.
pub fn one_by_one(
    problem: &Problem,
    trips: &[Trip],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
) -> Result<Plan, ScheduleError> {
    one_by_one_within(problem, trips, planner, status, lower_bound_s, &Budget::unlimited())
}

/// The same without a search for the fewest braces once `budget` is spent: then everybody is braced who stands wherever the load is not carried
/// without. Expansions and bytes do not count.
///
/// # Errors
/// See [`one_by_one`], and when cancelled.
pub fn one_by_one_within(
    problem: &Problem,
    trips: &[Trip],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
    budget: &Budget<'_>,
) -> Result<Plan, ScheduleError> {
    timed(problem, trips, Heading { planner, status, lower_bound_s }, Scope::Whole, budget)
}

/// The same without utilisations and gaps, which take most of the time: they are left at nothing, for
/// whoever checks the plan, which works them out anyway, to fill in.
///
/// # Errors
/// See [`one_by_one_within`].
pub fn one_by_one_bare(
    problem: &Problem,
    trips: &[Trip],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
    budget: &Budget<'_>,
) -> Result<Plan, ScheduleError> {
    timed(problem, trips, Heading { planner, status, lower_bound_s }, Scope::Ends, budget)
}

fn timed(
    problem: &Problem,
    trips: &[Trip],
    heading: Heading,
    scope: Scope,
    budget: &Budget<'_>,
) -> Result<Plan, ScheduleError> {
    let course = DriveSequence::new(problem, &moves_of_trips(problem, trips)?)?;
    let mut loads = Loads::new(&course, problem.limits.utilisation(), budget);
    loads.for_better = true;
    let sequence: Vec<usize> = (0..course.drives.len()).collect();
    let holds = choose_holds(&course, &mut loads, &sequence, heading.status == Status::Solved)?;
    let crew = Crew::new(&course, &mut loads, &sequence, &holds);
    let mut clock_s = 0.0;
    let mut moves = Vec::with_capacity(crew.items.len());
    for item in &crew.items {
        let duration_s = item.duration_s;
        moves.push(Timed { module: item.module, action: item.action, start_s: clock_s, duration_s });
        clock_s += duration_s + PAUSE_S;
    }
    let waits: Vec<Vec<usize>> =
        (0..moves.len()).map(|k: usize| k.checked_sub(1).into_iter().collect()).collect();
    plan_of(problem, &moves, &waits, heading, scope, budget)
}
