//! Times a sequence of moves, one after the other, with the necessary braces.

use super::bracing::{fewest_holds, quick_holds};
use super::crew::Crew;
use super::drive_sequence::DriveSequence;
use super::loads::Loads;
use super::timing::{Heading, plan_of};
use super::{PAUSE_S, ScheduleError};
use crate::control::Interrupt;
use crate::model::{ModuleId, Problem};
use crate::motion::Move;
use crate::plan::{Plan, Status};

/// Times moves one after the other, with the fewest braces and releases.
///
/// Once the budget is spent the search for the fewest braces ends: every standing module is then braced wherever the load is not carried without
/// braces. Utilisations and gaps of the plan are left empty; the check fills them in ([`check_and_fill_in`](crate::check::check_and_fill_in)).
///
/// # Errors
/// When a move cannot be made, no bracing carries it, or when cancelled.
pub fn one_by_one(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    heading: &Heading,
    interrupt: Interrupt<'_>,
) -> Result<Plan, ScheduleError> {
    let course = DriveSequence::new(problem, moves)?;
    let (needed, solved) = (interrupt.only_when_cancelled(), heading.status == Status::Solved);
    let mut loads = Loads::new(&course, problem.limits.utilisation());
    let sequence: Vec<usize> = (0..course.drives.len()).collect();
    let holds = match fewest_holds(&course, &mut loads, &sequence, solved, interrupt) {
        Err(ScheduleError::Stopped) => quick_holds(&course, &mut loads, &sequence, solved, needed),
        holds => holds,
    }?;
    let crew = Crew::new(&course, &mut loads, &sequence, &holds, needed);
    let mut clock_s = 0.0;
    let mut start_s = Vec::with_capacity(crew.items.len());
    for item in &crew.items {
        start_s.push(clock_s);
        clock_s += item.duration_s + PAUSE_S;
    }
    Ok(plan_of(&crew, &start_s, |step| step.checked_sub(1).into_iter().collect(), heading))
}
