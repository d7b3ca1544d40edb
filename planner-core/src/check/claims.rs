//! Compares the figures that a plan claims with the recomputed ones.

use super::{CheckReport, Finding, StepFigures};
use crate::math::{DQuat, atan2, tolerance};
use crate::model::{Body, Placement, Problem};
use crate::motion::{Rule, energy_j};
use crate::plan::{Plan, Status, Step, Summary, UtilisationIs};

/// The figures of a whole plan, from its steps and their recomputed figures.
pub(super) fn summarise(problem: &Problem, plan: &Plan, figures: &[StepFigures]) -> Summary {
    let makespan_s = plan.steps.iter().map(Step::end_s).fold(0.0, f64::max);
    let idle_w: f64 = problem.module_ids().map(|m| problem.kind(m).idle_power_w).sum();
    let moving_j: f64 = plan
        .steps
        .iter()
        .zip(figures)
        .map(|(s, f)| energy_j(problem, s.module, &s.action, f.duration_s))
        .sum();
    let travel_m = plan.steps.iter().map(|s| s.action.travel_m().abs()).sum();
    Summary {
        moves: plan.steps.len(),
        makespan_s,
        energy_j: moving_j + idle_w * makespan_s,
        travel_m,
        utilisation: figures.iter().map(|f| f.utilisation).fold(0.0, f64::max),
        gap_m: figures.iter().filter_map(|f| f.gap_m).reduce(f64::min),
        lower_bound_s: plan.summary.lower_bound_s,
    }
}

/// Findings where claims and recomputed figures differ.
pub(super) fn claim_findings(problem: &Problem, plan: &Plan, report: &CheckReport) -> Vec<Finding> {
    let mut findings = Vec::new();
    let lacks = |findings: &mut Vec<Finding>, index: usize, message: String| {
        let step = &plan.steps[index];
        findings.push(
            Finding::new(Rule::Figure, Some(index), message)
                .about(problem, &[Body::Module(step.module)])
                .at(step.start_s),
        );
    };
    for (index, (step, figures)) in plan.steps.iter().zip(&report.steps).enumerate() {
        let mut differ = |what: &str, value: f64, expected: f64| {
            let message = format!("claims {what} {value:.9}, recomputed {expected:.9}");
            findings.push(
                Finding::new(Rule::Figure, Some(index), message)
                    .about(problem, &[Body::Module(step.module)])
                    .at(step.start_s)
                    .with(value, expected),
            );
        };
        if !close(step.duration_s, figures.duration_s) {
            differ("duration_s", step.duration_s, figures.duration_s);
        }
        if !is_utilisation(problem, plan, step.utilisation, figures.utilisation) {
            differ("utilisation", step.utilisation, figures.utilisation);
        }
        match (step.gap_m, figures.gap_m) {
            (Some(claimed), Some(found)) if !is_gap(claimed, found) => {
                differ("gap_m", claimed, found);
            }
            (Some(claimed), None) => {
                lacks(&mut findings, index, format!("claims gap_m {claimed:.9} where nothing is free"))
            }
            (None, Some(found)) => {
                lacks(&mut findings, index, format!("claims no gap_m, recomputed {found:.9}"))
            }
            _ => {}
        }
        if let Some(end) = &figures.end
            && let Some(message) = end_difference(problem, &step.end, end)
        {
            findings.push(
                Finding::new(Rule::End, Some(index), message)
                    .about(problem, &[Body::Module(step.module)])
                    .at(step.end_s()),
            );
        }
    }
    let utilised = is_utilisation(problem, plan, plan.summary.utilisation, report.summary.utilisation);
    findings.extend(summary_findings(
        &plan.summary,
        &report.summary,
        plan.status == Status::Solved,
        utilised,
    ));
    if plan.status != Status::Solved {
        let message = format!("the plan is not solved: {}", plan.status.meaning());
        findings.push(Finding::new(Rule::Goal, None, message));
    }
    findings
}

/// Whether a claimed utilisation agrees with the one found: it is that, or in a plan of bounds a bound on it that is within the limit.
fn is_utilisation(problem: &Problem, plan: &Plan, claimed: f64, found: f64) -> bool {
    let off = claimed - found;
    let most = problem.limits.utilisation().max(found);
    match plan.utilisation_is {
        UtilisationIs::Exact => off.abs() <= tolerance::UTILISATION,
        UtilisationIs::Bound => off >= -tolerance::UTILISATION && claimed <= most + tolerance::UTILISATION,
    }
}

/// Whether a claimed gap is the one found; no number is not.
fn is_gap(claimed: f64, found: f64) -> bool {
    (claimed - found).abs() <= tolerance::LENGTH_M
}

/// Sums below this count as zero: seconds, metres, joules.
const NOTHING: f64 = 1e-6;

fn close(claimed: f64, found: f64) -> bool {
    (claimed - found).abs() <= tolerance::RELATIVE * found.abs().max(NOTHING)
}

fn summary_findings(claimed: &Summary, found: &Summary, solved: bool, utilised: bool) -> Vec<Finding> {
    let gap = |s: &Summary| s.gap_m.unwrap_or(f64::INFINITY);
    let rows = [
        ("moves", claimed.moves as f64, found.moves as f64, claimed.moves == found.moves),
        ("makespan_s", claimed.makespan_s, found.makespan_s, close(claimed.makespan_s, found.makespan_s)),
        ("energy_j", claimed.energy_j, found.energy_j, close(claimed.energy_j, found.energy_j)),
        ("travel_m", claimed.travel_m, found.travel_m, close(claimed.travel_m, found.travel_m)),
        ("utilisation", claimed.utilisation, found.utilisation, utilised),
        (
            "gap_m",
            gap(claimed),
            gap(found),
            claimed.gap_m.is_none() && found.gap_m.is_none() || is_gap(gap(claimed), gap(found)),
        ),
        (
            "lower_bound_s",
            claimed.lower_bound_s,
            found.makespan_s,
            claimed.lower_bound_s >= 0.0
                && (!solved || claimed.lower_bound_s <= found.makespan_s * (1.0 + tolerance::RELATIVE)),
        ),
    ];
    rows.into_iter()
        .filter(|(.., agrees)| !agrees)
        .map(|(name, value, limit, _)| {
            let message = if name == "lower_bound_s" {
                format!("summary claims that no plan is shorter than {value} s, and this one lasts {limit} s")
            } else {
                format!("summary claims {name} {value:.9}, recomputed {limit:.9}")
            };
            Finding::new(Rule::Figure, None, message).with(value, limit)
        })
        .collect()
}

/// Angle of the rotation between two orientations, in radians, from the vector part: the arc cosine of the scalar part is inaccurate near zero.
fn turn_between(a: DQuat, b: DQuat) -> f64 {
    let turn = a.conjugate() * b;
    2.0 * atan2(turn.xyz().length(), turn.w.abs())
}

fn end_difference(problem: &Problem, claimed: &Placement, found: &Placement) -> Option<String> {
    let off_m = claimed.position.distance(found.position);
    let length_off = (claimed.orientation.length() - 1.0).abs();
    let off_rad = turn_between(claimed.orientation.normalize(), found.orientation);
    if claimed.host != found.host {
        return Some(format!(
            "claims to end on {}, replayed it ends on {}",
            problem.name_of(claimed.host),
            problem.name_of(found.host)
        ));
    }
    if claimed.hold != found.hold {
        return Some(format!(
            "claims to end {}, replayed it ends {}",
            claimed.hold.word(),
            found.hold.word()
        ));
    }
    if !(off_m <= tolerance::LENGTH_M
        && off_rad <= tolerance::ANGLE_RAD
        && length_off <= tolerance::ANGLE_RAD)
    {
        return Some(format!(
            "claims an end that is {off_m:.3e} m and {off_rad:.3e} rad off the replayed one"
        ));
    }
    None
}
