//! Whether a plan depends on its clock: whether it stays sound under any delay, as long as every step waits for those in its `after`.

use super::ScheduleError;
use super::crew::Crew;
use super::drive_sequence::DriveSequence;
use super::loads::Loads;
use super::order::{Order, Rules};
use crate::control::Interrupt;
use crate::model::{ModuleId, Problem};
use crate::motion::Move;
use crate::plan::Plan;
use fixedbitset::FixedBitSet;

/// The first step, in the order of starts, that is not proven sound if steps may be late or slow; `None` when the precedences alone keep the plan
/// sound.
///
/// Every order and overlap that the precedences allow is covered, each step anywhere between its start and its end. The plan should be one that the
/// checker passes. Where there are too many overlaps to examine, a step counts as not proven.
///
/// # Errors
/// When a move cannot begin, or when interrupted.
pub fn first_step_that_needs_the_clock(
    problem: &Problem,
    plan: &Plan,
    interrupt: Interrupt<'_>,
) -> Result<Option<usize>, ScheduleError> {
    let mut by_start: Vec<usize> = (0..plan.steps.len()).collect();
    by_start.sort_by(|&a, &b| plan.steps[a].start_s.total_cmp(&plan.steps[b].start_s));
    let moves: Vec<(ModuleId, Move)> =
        by_start.iter().map(|&k| (plan.steps[k].module, plan.steps[k].action)).collect();
    let course = DriveSequence::new(problem, &moves)?;
    let mut loads = Loads::new(&course, problem.limits.utilisation());
    let mut crew = Crew::of_moves(&course, &mut loads, &moves, interrupt);
    let mut order = Order::new(moves.len());
    let mut exclusive = FixedBitSet::with_capacity(moves.len());
    for (at, &step) in by_start.iter().enumerate() {
        let mut waits = FixedBitSet::with_capacity(moves.len());
        for &before in &plan.steps[step].after {
            // A step that waits for a later one contradicts the order of starts.
            let Some(k) = by_start[..at].iter().position(|&s| s == before) else { return Ok(Some(step)) };
            waits.insert(k);
            waits.union_with(&order.before[k]);
        }
        let depends = |other: usize| crew.keep_order(other, at) || crew.collide(other, at);
        let waits_enough =
            (0..at).all(|other| waits.contains(other) || !depends(other)) && exclusive.is_subset(&waits);
        if !waits_enough || !crew.may_follow(&order, at) {
            return Ok(Some(step));
        }
        if !crew.holds(&order, at, &waits)? {
            if waits.count_ones(..) < at || !crew.holds_alone(&order, at) {
                return Ok(Some(step));
            }
            exclusive.insert(at);
        }
        order.place(at, waits, plan.steps[step].duration_s, 0.0);
    }
    Ok(None)
}
