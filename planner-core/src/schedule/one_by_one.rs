//! Times a sequence of trips, one move after the other, with the braces that are needed.

use super::bracing::{fewest_holds, holds_in_haste};
use super::crew::Crew;
use super::drive_sequence::DriveSequence;
use super::figures::{Scope, Timed};
use super::loads::Loads;
use super::sequence::moves_of_trips;
use super::timing::{Heading, plan_of};
use super::{PAUSE_S, ScheduleError};
use crate::control::Interrupt;
use crate::model::Problem;
use crate::plan::{Plan, PlannerNote, Status};
use crate::travel::Trip;

/// Times trips one move after the other, puts in braces and releases, and works out all figures.
///
/// `status` is written into the plan; for [`Status::Solved`] the holds and payloads of the goal are seen to at the end.
///
/// Once time is up it looks no longer for the fewest braces: then everybody is braced who stands wherever the load is not carried without.
///
/// # Errors
/// When a trip cannot be made, or no bracing carries it, or when cancelled.
pub fn one_by_one(
    problem: &Problem,
    trips: &[Trip],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
    interrupt: Interrupt<'_>,
) -> Result<Plan, ScheduleError> {
    timed(problem, trips, Heading { planner, status, lower_bound_s }, Scope::Whole, interrupt)
}

/// The same without utilisations and gaps, which take most of the time: they are left at nothing, for
/// whoever checks the plan, which works them out anyway, to fill in.
///
/// # Errors
/// See [`one_by_one`].
pub fn one_by_one_bare(
    problem: &Problem,
    trips: &[Trip],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
    interrupt: Interrupt<'_>,
) -> Result<Plan, ScheduleError> {
    timed(problem, trips, Heading { planner, status, lower_bound_s }, Scope::Ends, interrupt)
}

fn timed(
    problem: &Problem,
    trips: &[Trip],
    heading: Heading,
    scope: Scope,
    interrupt: Interrupt<'_>,
) -> Result<Plan, ScheduleError> {
    let course = DriveSequence::new(problem, &moves_of_trips(problem, trips)?)?;
    let (needed, solved) = (interrupt.only_when_cancelled(), heading.status == Status::Solved);
    let mut loads = Loads::new(&course, problem.limits.utilisation());
    let sequence: Vec<usize> = (0..course.drives.len()).collect();
    let holds = match fewest_holds(&course, &mut loads, &sequence, solved, interrupt) {
        Err(ScheduleError::Stopped) => holds_in_haste(&course, &mut loads, &sequence, solved, needed),
        holds => holds,
    }?;
    let crew = Crew::new(&course, &mut loads, &sequence, &holds, needed);
    let mut clock_s = 0.0;
    let mut moves = Vec::with_capacity(crew.items.len());
    for item in &crew.items {
        let duration_s = item.duration_s;
        moves.push(Timed { module: item.module, action: item.action, start_s: clock_s, duration_s });
        clock_s += duration_s + PAUSE_S;
    }
    let waits: Vec<Vec<usize>> =
        (0..moves.len()).map(|k: usize| k.checked_sub(1).into_iter().collect()).collect();
    plan_of(problem, &moves, &waits, heading, scope, needed)
}
