//! Findings of a check, for people and for programs.

use crate::wording;
use clamber_core::unstable::scene::SummaryEntry;
use clamber_core::{Finding, Plan, Problem, Rule, Summary};
use serde::Serialize;
use std::fmt::Write;

/// A finding as it stands in JSON.
#[derive(Debug, Serialize)]
pub(crate) struct FindingEntry {
    rule: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    step: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at_s: Option<f64>,
    bodies: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<f64>,
    message: String,
}

/// Findings as they stand in JSON; numbers that are not finite are left out.
pub(crate) fn entries(findings: &[Finding]) -> Vec<FindingEntry> {
    let finite = |value: f64| value.is_finite().then_some(value);
    let entry = |finding: &Finding| FindingEntry {
        rule: finding.rule.name(),
        step: finding.step,
        at_s: finding.at_s.and_then(finite),
        bodies: finding.bodies.clone(),
        value: finding.figures.and_then(|figures| finite(figures.value)),
        limit: finding.figures.and_then(|figures| finite(figures.limit)),
        message: finding.message.clone(),
    };
    findings.iter().map(entry).collect()
}

/// A summary with the names of the plan file.
pub(crate) fn summary_entry(summary: &Summary) -> SummaryEntry {
    SummaryEntry {
        moves: summary.moves,
        makespan_s: summary.makespan_s,
        energy_j: summary.energy_j,
        travel_m: summary.travel_m,
        utilisation: summary.utilisation,
        gap_m: summary.gap_m,
        lower_bound_s: summary.lower_bound_s,
    }
}

/// Findings as a numbered list.
pub(crate) fn list(problem: &Problem, plan: &Plan, findings: &[Finding]) -> String {
    let mut text = String::new();
    for (index, finding) in findings.iter().enumerate() {
        let mut place = vec![finding.rule.to_string()];
        if let Some(number) = finding.step {
            let step = plan.steps.get(number);
            let step = step.map(|step| {
                format!(" ({} {})", problem.module_name(step.module), wording::of_move(problem, &step.action))
            });
            place.push(format!("step {number}{}", step.unwrap_or_default()));
        }
        place.extend(finding.at_s.map(|at_s| format!("at {at_s:.3} s")));
        if !finding.bodies.is_empty() {
            place.push(finding.bodies.join(" and "));
        }
        let _ = writeln!(text, "{}. {}", index + 1, place.join(", "));
        let _ = writeln!(text, "   {}", finding.message);
        // A wrong claim has both numbers in its sentence.
        let figures = finding.figures.filter(|_| finding.rule != Rule::Figure);
        if let Some(figures) = figures.filter(|f| f.value.is_finite() && f.limit.is_finite()) {
            let _ = writeln!(text, "   found {}, limit {}", figure(figures.value), figure(figures.limit));
        }
    }
    text
}

/// Enough digits to see on which side of a limit a value is.
fn figure(value: f64) -> String {
    if value != 0.0 && value.abs() < 1e-3 { format!("{value:.3e}") } else { wording::trimmed(value, 6) }
}
