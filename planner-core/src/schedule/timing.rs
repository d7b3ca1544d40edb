//! Writes moves with their times and waits down as a plan.

use super::ScheduleError;
use super::figures::{Scope, Timed, figures};
use crate::control::Interrupt;
use crate::model::Problem;
use crate::motion::{Move, energy_j};
use crate::plan::{Plan, PlannerNote, Status, Step, Summary};

/// What a plan says besides its steps.
#[derive(Clone, Debug)]
pub(super) struct Heading {
    pub(super) planner: PlannerNote,
    pub(super) status: Status,
    pub(super) lower_bound_s: f64,
}

/// The plan of moves in the order of their starts; `waits` lists for each move the indices of those that it waits for.
///
/// # Errors
/// When a move cannot be begun at its time, or when told to stop.
pub(super) fn plan_of(
    problem: &Problem,
    moves: &[Timed],
    waits: &[Vec<usize>],
    heading: Heading,
    scope: Scope,
    interrupt: Interrupt<'_>,
) -> Result<Plan, ScheduleError> {
    let mut order: Vec<usize> = (0..moves.len()).collect();
    order.sort_by(|&a, &b| moves[a].start_s.total_cmp(&moves[b].start_s).then(a.cmp(&b)));
    let mut number = vec![0; moves.len()];
    for (at, &index) in order.iter().enumerate() {
        number[index] = at;
    }
    let sorted: Vec<Timed> = order.iter().map(|&index| moves[index]).collect();
    let figures = figures(problem, &sorted, scope, interrupt)?;
    let step = |(at, found): (usize, &super::figures::Figures)| {
        let Timed { module, action, start_s, duration_s } = sorted[at];
        let mut after: Vec<usize> = waits[order[at]].iter().map(|&w| number[w]).collect();
        after.sort_unstable();
        Step {
            module,
            action,
            start_s,
            duration_s,
            after,
            end: found.end,
            utilisation: found.utilisation,
            gap_m: found.gap_m,
        }
    };
    let steps: Vec<Step> = figures.iter().enumerate().map(step).collect();
    let summary = summary(problem, &steps, heading.lower_bound_s);
    Ok(Plan { planner: heading.planner, status: heading.status, steps, summary })
}

fn summary(problem: &Problem, steps: &[Step], lower_bound_s: f64) -> Summary {
    let makespan_s = steps.iter().map(Step::end_s).fold(0.0, f64::max);
    let idle_w: f64 = problem.module_ids().map(|m| problem.kind(m).idle_power_w).sum();
    let moving_j: f64 = steps.iter().map(|s| energy_j(problem, s.module, &s.action, s.duration_s)).sum();
    let way = |s: &Step| if let Move::Slide { travel_m, .. } = s.action { travel_m.abs() } else { 0.0 };
    Summary {
        moves: steps.len(),
        makespan_s,
        energy_j: moving_j + idle_w * makespan_s,
        travel_m: steps.iter().map(way).sum(),
        utilisation: steps.iter().map(|s| s.utilisation).fold(0.0, f64::max),
        gap_m: steps.iter().filter_map(|s| s.gap_m).reduce(f64::min),
        lower_bound_s,
    }
}
