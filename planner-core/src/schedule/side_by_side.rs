//! Stage 2: from a sequence of moves to a timed plan in which the crew moves side by side.

use super::bracing::{Holds, choose_holds};
use super::course::Course;
use super::crew::Crew;
use super::figures::Timed;
use super::loads::Loads;
use super::local_search::{Arranged, improve};
use super::order::arrange;
use super::timing::{Heading, plan_of};
use super::{PAUSE_S, ScheduleError};
use crate::model::{ModuleId, Problem};
use crate::motion::{Move, Plan, PlannerNote, Status};
use crate::search::Budget;

/// A timed plan and how good it is.
#[derive(Clone, Debug, PartialEq)]
pub struct SideBySide {
    /// The plan.
    pub plan: Plan,
    /// Braces and releases in it.
    pub hold_moves: usize,
    /// No plan with the drives in the order of their starts has fewer braces and releases.
    pub hold_moves_at_least: usize,
    /// Sequences that were timed.
    pub tried: u64,
}

/// Rounds of deciding holds anew for the order that came out.
const ROUNDS: usize = 3;

/// Times a sequence of moves side by side.
///
/// Which steps wait for which follows from what truly depends on what, and all other steps may be under way together in any order and at any
/// pace: the plan stays sound whatever is delayed, as long as every step waits for those in its `after`. Braces and releases in `moves` are
/// passed over: holds are decided here, as few as the order of the drives can do with, none used more than `limit` of its adhesion.
///
/// `budget` bounds the sequences tried; the plan of `moves` itself is always made. The same arguments give the same plan.
///
/// # Errors
/// When the sequence cannot be made one move after the other, or no bracing carries it.
#[allow(clippy::too_many_arguments)]
pub fn side_by_side(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
    limit: f64,
    budget: &Budget<'_>,
) -> Result<SideBySide, ScheduleError> {
    let course = Course::new(problem, moves)?;
    let mut loads = Loads::new(&course, limit);
    let solved = status == Status::Solved;
    let mut drives: Vec<usize> = (0..course.drives.len()).collect();
    let mut holds = choose_holds(&course, &mut loads, &drives, solved)?;
    let mut tried = 0;
    let mut best: Option<(Timeline, Holds)> = None;
    for _ in 0..ROUNDS {
        let mut crew = Crew::new(&course, &mut loads, &drives, &holds);
        let sequence: Vec<usize> = (0..crew.items.len()).collect();
        let order = arrange(&mut crew, &sequence, PAUSE_S).map_err(|step| {
            let item = &crew.items[step];
            let module = problem.module_name(item.module).to_owned();
            ScheduleError::NotSound { module, word: item.action.word() }
        })?;
        let found = improve(&mut crew, Arranged { sequence, order }, PAUSE_S, lower_bound_s, |_| {
            let go_on = budget.spent(tried, 0).is_none();
            tried += u64::from(go_on);
            go_on
        });
        let timeline = Timeline::new(&crew, &found);
        drives = timeline.drives.clone();
        let is_better = best.as_ref().is_none_or(|(known, _)| timeline.is_better_than(known));
        if is_better {
            best = Some((timeline, holds.clone()));
        }
        let again = choose_holds(&course, &mut loads, &drives, solved)?;
        if again.braced == holds.braced || !is_better {
            break;
        }
        holds = again;
    }
    let Some((timeline, _)) = best else { return Err(ScheduleError::FinalShape) };
    let hold_moves_at_least = choose_holds(&course, &mut loads, &timeline.drives, solved)?.at_least;
    let heading = Heading { planner, status, lower_bound_s };
    let plan = plan_of(problem, &timeline.moves, &timeline.waits, heading)?;
    Ok(SideBySide { plan, hold_moves: timeline.hold_moves, hold_moves_at_least, tried })
}

/// Steps with starts and waits.
struct Timeline {
    moves: Vec<Timed>,
    waits: Vec<Vec<usize>>,
    /// The drives in the order of their starts.
    drives: Vec<usize>,
    hold_moves: usize,
    makespan_s: f64,
}

impl Timeline {
    fn new(crew: &Crew<'_, '_>, found: &Arranged) -> Self {
        let order = &found.order;
        let timed = |(step, item): (usize, &super::crew::Item)| Timed {
            module: item.module,
            action: item.action,
            start_s: order.start_s[step],
            duration_s: item.duration_s,
        };
        let mut by_start = found.sequence.clone();
        by_start.sort_by(|&a, &b| order.start_s[a].total_cmp(&order.start_s[b]));
        Self {
            moves: crew.items.iter().enumerate().map(timed).collect(),
            waits: (0..crew.items.len()).map(|step| order.waits_of(step)).collect(),
            drives: crew.drives_of(&by_start),
            hold_moves: crew.hold_moves(),
            makespan_s: order.makespan_s(),
        }
    }

    /// Sooner, or as soon with fewer braces and releases.
    fn is_better_than(&self, other: &Self) -> bool {
        (self.hold_moves, self.makespan_s) < (other.hold_moves, other.makespan_s)
    }
}
