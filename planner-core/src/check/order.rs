//! Order in time: durations, precedences, and one move at a time.

use super::Finding;
use crate::math::tolerance;
use crate::model::{Body, Problem};
use crate::motion::Rule;
use crate::plan::{Plan, Step};

/// Findings about starts, durations and `after` that need no replay.
pub(super) fn order_findings(problem: &Problem, plan: &Plan) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (index, step) in plan.steps.iter().enumerate() {
        let about = |f: Finding| f.about(problem, &[Body::Module(step.module)]).at(step.start_s);
        if !(step.start_s >= 0.0
            && step.start_s.is_finite()
            && step.duration_s >= 0.0
            && step.duration_s.is_finite())
        {
            let message = format!(
                "step starts at {} s and lasts {} s; both must be finite and not negative",
                step.start_s, step.duration_s
            );
            findings.push(about(Finding::new(Rule::Order, Some(index), message)));
        }
        for &before in &step.after {
            let message = match plan.steps.get(before) {
                None => format!(
                    "waits for step {before}, and the last step is {}",
                    plan.steps.len().saturating_sub(1)
                ),
                Some(_) if before == index => "waits for itself".to_owned(),
                Some(other) if other.end_s() > step.start_s + tolerance::TIME_S => format!(
                    "starts at {:.6} s, before step {before}, which it waits for, ends at {:.6} s",
                    step.start_s,
                    other.end_s()
                ),
                Some(_) => continue,
            };
            findings.push(about(Finding::new(Rule::Order, Some(index), message)));
        }
    }
    findings
}

/// Whether two steps overlap in time, as half-open intervals.
pub(super) fn overlap(a: &Step, b: &Step) -> bool {
    a.start_s < b.end_s() - tolerance::TIME_S && b.start_s < a.end_s() - tolerance::TIME_S
}
