//! What the crew really did while it followed one plan: as a plan with the real times, which the check judges.

use clamber_core::unstable::check::check_rules;
use clamber_core::unstable::motion::apply;
use clamber_core::{
    Configuration, Finding, Hold, Interrupt, Move, Plan, PlannerNote, Problem, Rule, Status, Step,
};

/// One move as it was.
#[derive(Clone, Debug)]
pub(crate) struct Done {
    /// The step of the followed plan; `None` for a brace that the follower asked for.
    pub(crate) step: Option<usize>,
    pub(crate) module: clamber_core::ModuleId,
    /// As far as it came.
    pub(crate) action: Move,
    pub(crate) start_s: f64,
    pub(crate) end_s: f64,
}

/// The moves of one part of a run.
#[derive(Clone, Debug, Default)]
pub(crate) struct Record {
    pub(crate) done: Vec<Done>,
}

impl Record {
    /// Where the crew is, if it began where the problem begins.
    pub(crate) fn last(&self, problem: &Problem) -> Result<Configuration, String> {
        let mut order: Vec<&Done> = self.done.iter().collect();
        order.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        order.into_iter().try_fold(problem.start.clone(), |now, own| {
            apply(problem, &now, own.module, &own.action).map_err(|error| {
                format!("{} cannot {}: {error}", problem.module_name(own.module), own.action.word())
            })
        })
    }

    /// The record as a plan without figures, and every rule that it breaks.
    pub(crate) fn judged(&self, problem: &Problem, followed: &Plan) -> (Plan, Vec<Finding>) {
        let place = |step: usize| self.done.iter().position(|own| own.step == Some(step));
        let mut early = Vec::new();
        let mut steps = Vec::new();
        for own in &self.done {
            let asked = own.step.map_or(&[][..], |step| &followed.steps[step].after);
            let after: Vec<usize> = asked.iter().filter_map(|before| place(*before)).collect();
            if after.len() < asked.len() {
                let words = format!("step {:?} has begun, and not all that it waits for has ended", own.step);
                early.push(Finding::new(Rule::Order, Some(steps.len()), words));
            }
            steps.push(Step {
                module: own.module,
                action: own.action,
                start_s: own.start_s,
                duration_s: own.end_s - own.start_s,
                after,
                end: *problem.start.get(own.module),
                utilisation: 0.0,
                gap_m: None,
            });
        }
        let planner = PlannerNote::new("rehearsal", followed.planner.seed);
        let plan = Plan { planner, status: Status::BudgetSpent, reason: None, steps, ..followed.clone() };
        match check_rules(problem, &plan, Interrupt::NEVER) {
            Ok(report) => {
                early.extend(report.findings.into_iter().filter(is_about_the_crew));
            }
            Err(_) => early.push(Finding::new(Rule::Move, None, "it was not checked".into())),
        }
        (plan, early)
    }
}

/// Real times are not the planned ones, and a part of a plan has no goal to reach.
pub(crate) fn is_about_the_crew(finding: &Finding) -> bool {
    !matches!(finding.rule, Rule::Figure | Rule::End | Rule::Goal)
}

/// The crew with a hold changed.
pub(crate) fn with_hold(there: &Configuration, module: clamber_core::ModuleId, hold: Hold) -> Configuration {
    let mut there = there.clone();
    there.get_mut(module).hold = hold;
    there
}
