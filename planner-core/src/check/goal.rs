//! Whether the end of a plan meets the goal.

use super::Finding;
use crate::model::{Body, Configuration, Problem};
use crate::motion::{Rule, load_with_payloads};
use crate::statics::{LoadStatus, assess};

/// The unmet parts of the goal: slots, the count to gather, payloads carried at slots.
#[must_use]
pub fn goal_findings(problem: &Problem, last: &Configuration) -> Vec<Finding> {
    let mut findings = Vec::new();
    if let (Some(gather), Some(count)) = (problem.goal.gather, problem.gathered(last))
        && count < gather.count
    {
        let deck = Body::Ground(gather.ground);
        let name = &problem.deck_to_gather_on(gather).name;
        let message = format!("{count} modules stand on {name}; {} were to gather there", gather.count);
        findings.push(
            Finding::new(Rule::Goal, None, message)
                .about(problem, &[deck])
                .with(count as f64, gather.count as f64),
        );
    }
    if problem.goal.is_empty() {
        findings.push(Finding::new(
            Rule::Goal,
            None,
            "the scene has no goal, so no plan can reach it".into(),
        ));
    }
    let fillers = problem.fillers(last);
    for (slot, filler) in problem.goal.slots.iter().zip(&fillers) {
        let message = match (filler, slot.hold) {
            _ if slot.optional => continue,
            (None, _) => format!("slot {} is not filled", slot.name),
            (Some(id), Some(hold)) if !problem.holds_as_asked(slot, *id, last) => {
                format!("{} in slot {} is not {}", problem.module_name(*id), slot.name, hold.word())
            }
            _ => continue,
        };
        findings.push(Finding::new(Rule::Goal, None, message));
    }
    let Some(filling) = problem.filling(last) else { return findings };
    if problem.goal.slots.iter().any(|slot| slot.payload_kg > 0.0) {
        let report = assess(problem, &load_with_payloads(problem, last, &filling));
        if report.status != LoadStatus::Carried {
            let reason = report.reason.map_or_else(
                || "no forces balance".to_owned(),
                |r| r.describe(problem, problem.limits.sway_rad),
            );
            let message = format!("the shape does not carry the slots' payloads: {reason}");
            findings.push(Finding::new(Rule::Goal, None, message));
        }
    }
    findings
}
