//! Writes moves with their times and precedences as a plan.

use super::crew::{Crew, Item};
use crate::model::Problem;
use crate::motion::energy_j;
use crate::plan::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};

/// What a plan contains besides its steps.
#[derive(Clone, Debug)]
pub struct Heading {
    /// The planner that made it.
    pub planner: PlannerNote,
    /// Whether its moves lead to the goal. If so, the end must meet the holds and payloads of the goal.
    pub status: Status,
    /// A lower bound on the makespan of every plan, in seconds.
    pub lower_bound_s: f64,
}

/// The plan of a crew's moves with their starts and direct predecessors. Utilisations and gaps are left empty; the check fills them in.
pub(super) fn plan_of(
    crew: &Crew<'_, '_>,
    start_s: &[f64],
    waits: impl Fn(usize) -> Vec<usize>,
    heading: &Heading,
) -> Plan {
    let step = |(index, item): (usize, &Item)| Step {
        module: item.module,
        action: item.action,
        start_s: start_s[index],
        duration_s: item.duration_s,
        after: waits(index),
        end: crew.end_of(index),
        utilisation: 0.0,
        gap_m: None,
    };
    plan_of_steps(crew.problem(), crew.items.iter().enumerate().map(step).collect(), heading)
}

/// The plan of some steps in any order.
pub(super) fn plan_of_steps(problem: &Problem, steps: Vec<Step>, heading: &Heading) -> Plan {
    let mut order: Vec<usize> = (0..steps.len()).collect();
    order.sort_by(|&a, &b| steps[a].start_s.total_cmp(&steps[b].start_s).then(a.cmp(&b)));
    let mut number = vec![0; order.len()];
    for (at, &index) in order.iter().enumerate() {
        number[index] = at;
    }
    let step = |&index: &usize| {
        let mut after: Vec<usize> = steps[index].after.iter().map(|&wait| number[wait]).collect();
        after.sort_unstable();
        Step { after, ..steps[index].clone() }
    };
    let steps: Vec<Step> = order.iter().map(step).collect();
    let summary = summary(problem, &steps, heading.lower_bound_s);
    Plan {
        planner: heading.planner.clone(),
        status: heading.status,
        reason: None,
        utilisation_is: UtilisationIs::Exact,
        steps,
        summary,
    }
}

fn summary(problem: &Problem, steps: &[Step], lower_bound_s: f64) -> Summary {
    let makespan_s = steps.iter().map(Step::end_s).fold(0.0, f64::max);
    let idle_w: f64 = problem.module_ids().map(|m| problem.kind(m).idle_power_w).sum();
    let moving_j: f64 = steps.iter().map(|s| energy_j(problem, s.module, &s.action, s.duration_s)).sum();
    Summary {
        moves: steps.len(),
        makespan_s,
        energy_j: moving_j + idle_w * makespan_s,
        travel_m: steps.iter().map(|s| s.action.travel_m().abs()).sum(),
        utilisation: 0.0,
        gap_m: None,
        lower_bound_s,
    }
}
