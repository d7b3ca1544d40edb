//! Estimates the makespan of trips whose moves run in parallel, without computing a whole plan.

use super::bracing::fewest_holds;
use super::crew::Crew;
use super::drive_sequence::DriveSequence;
use super::known_loads::{KnownLoads, NewLoads};
use super::loads::Loads;
use super::order::{NotArranged, Order, arrange_within};
use super::sequence::Made;
use super::splitting::{Cut, cuts};
use super::{PAUSE_S, ScheduleError};
use crate::control::Budget;
use crate::model::{ModuleId, Problem};
use crate::motion::Move;

/// The moves of trips in parallel, each as early as their order allows.
#[derive(Clone, Debug)]
pub(crate) struct Arrangement {
    pub(crate) moves: Vec<Made>,
    /// End of the last move, in seconds.
    pub(crate) makespan_s: f64,
    /// The sum of the end times of all moves, in seconds: of two arrangements with the same makespan the one with the smaller sum has more slack.
    pub(crate) ends_s: f64,
    /// Indices of trips with moves on a critical path, the last first.
    pub(crate) critical: Vec<usize>,
    /// Places where slides on it could be split.
    pub(crate) cuts: Vec<Cut>,
}

/// Makespans nearer than this are equal, in seconds.
const SAME_S: f64 = 1e-6;

impl Arrangement {
    pub(crate) fn is_better_than(&self, other: &Self) -> bool {
        let gain_s = other.makespan_s - self.makespan_s;
        gain_s > SAME_S || (gain_s > -SAME_S && self.ends_s < other.ends_s - SAME_S)
    }
}

/// Schedules moves that are given in a sequence; `None` if they do not end within a time. Loads are taken from what is known, or ignored. Also returns
/// the new answers about loads.
///
/// # Errors
/// When the moves cannot be made one after the other, no bracing carries them, or the budget is spent.
pub(crate) fn arrangement(
    problem: &Problem,
    made: Vec<Made>,
    known: Option<&KnownLoads>,
    within_s: f64,
    budget: &Budget<'_>,
) -> Result<(Option<Arrangement>, NewLoads), ScheduleError> {
    let moves: Vec<(ModuleId, Move)> = made.iter().map(|m| (m.module, m.action)).collect();
    let course = DriveSequence::new(problem, &moves)?;
    let loads = Loads::new(&course, problem.limits.utilisation());
    let mut loads = match known {
        Some(known) => loads.with_known(known),
        None => loads.leaving_loads_aside(),
    };
    let drives: Vec<usize> = (0..course.drives.len()).collect();
    let holds = fewest_holds(&course, &mut loads, &drives, true, budget.interrupt)?;
    let mut crew = Crew::new(&course, &mut loads, &drives, &holds, budget.interrupt);
    let sequence: Vec<usize> = (0..crew.items.len()).collect();
    let order = match arrange_within(&mut crew, &sequence, PAUSE_S, within_s) {
        Err(NotArranged::Late) => return Ok((None, loads.fresh)),
        order => order.map_err(|error| crew.explained(error))?,
    };
    let path: Vec<Option<usize>> =
        critical_path(&order, PAUSE_S).into_iter().map(|step| crew.drives_of(&[step]).pop()).collect();
    let mut critical: Vec<usize> = path.iter().flatten().map(|&drive| made[drive].trip).collect();
    critical.dedup();
    let arrangement = Arrangement {
        makespan_s: order.makespan_s(),
        ends_s: order.end_s.iter().sum(),
        critical,
        cuts: cuts(&course, &path),
        moves: made,
    };
    Ok((Some(arrangement), loads.fresh))
}

/// One critical path, from the step that ends last, the last first.
pub(super) fn critical_path(order: &Order, pause_s: f64) -> Vec<usize> {
    let mut path: Vec<usize> = Vec::new();
    let mut next = order.placed.iter().copied().max_by(|&a, &b| order.end_s[a].total_cmp(&order.end_s[b]));
    while let Some(step) = next {
        path.push(step);
        let binds = |b: &usize| order.end_s[*b] + pause_s >= order.start_s[step] - SAME_S;
        next = order.waits_of(step).into_iter().find(binds);
    }
    path
}
