//! Checks a plan: it is replayed in the order of time, then what each step comes near to and the load of every structure are checked in parallel.

use super::claims::{claim_findings, summarise};
use super::clearance::Clearance;
use super::gaps::{Meetings, Met};
use super::judge::{Wanted, judge};
use super::near::Near;
use super::order::order_findings;
use super::replay::Replay;
use super::{Finding, crew, goal_findings};
use crate::control::{Interrupt, Stopped, uninterrupted};
use crate::model::{Configuration, Invalid, Placement, Problem};
use crate::motion::{Fault, geometry_faults};
use crate::plan::{Plan, Summary, UtilisationIs};
use rayon::prelude::*;

/// Recomputed figures of one step.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct StepFigures {
    /// Duration by the kind's rates, in seconds.
    pub duration_s: f64,
    /// The module's placement at the end; `None` if the move could not begin.
    pub end: Option<Placement>,
    /// Worst utilisation over the step.
    pub utilisation: f64,
    /// Smallest free gap over the step, in metres; `None` where there is none.
    pub gap_m: Option<f64>,
}

/// The result of a check.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct CheckReport {
    /// Violated rules, in the order of time where they have one. If empty, the plan is sound.
    pub findings: Vec<Finding>,
    /// Whether the plan could be replayed. If starts and precedences are inconsistent it is not, and the figures below are the plan's own claims.
    pub replayed: bool,
    /// Recomputed figures of each step.
    pub steps: Vec<StepFigures>,
    /// Recomputed summary; the lower bound is the plan's claim.
    pub summary: Summary,
    /// The configuration at the end.
    pub last: Configuration,
}

impl CheckReport {
    /// Whether no rule is violated.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        self.findings.is_empty()
    }

    /// Adds findings where the plan's claims differ from the recomputed figures.
    fn add_claims(&mut self, problem: &Problem, plan: &Plan) {
        if self.replayed {
            let claims = claim_findings(problem, plan, self);
            self.findings.extend(claims);
        }
    }
}

/// Checks a plan against the rules of the model at every instant, and its claims against recomputed figures.
///
/// A plan that violates rules is not an error: each violation is a [`Finding`] of the report. Gaps are exact, and loads are certified over whole
/// intervals; nothing is sampled. Complexity: a step costs as much as the structures that it changes and the bodies near its way, whatever the size of
/// the crew; loads are cone programmes where bodies touch. The report does not depend on the number of threads.
///
/// # Errors
/// When a value of the problem or the plan makes no sense ([`Plan::validate`]).
pub fn check_plan(problem: &Problem, plan: &Plan) -> Result<CheckReport, Invalid> {
    plan.validate(problem)?;
    Ok(uninterrupted(|interrupt| check(problem, plan, interrupt)))
}

/// The same with an interrupt, for a problem and a plan whose values make sense.
///
/// # Errors
/// When interrupted; the interrupt is polled before every step and every load case.
pub fn check(problem: &Problem, plan: &Plan, interrupt: Interrupt<'_>) -> Result<CheckReport, Stopped> {
    let wanted = match plan.utilisation_is {
        UtilisationIs::Exact => Wanted::Exact,
        UtilisationIs::Bound => Wanted::Claimed,
    };
    let (mut report, _) = replayed(problem, plan, wanted, interrupt)?;
    report.add_claims(problem, plan);
    Ok(report)
}

/// Checks a plan against the rules only, which takes less time: nothing that it claims is compared. Utilisations are only held against their limit, and the
/// report has that limit for each step, as a bound.
///
/// # Errors
/// When interrupted, see [`check`].
pub fn check_rules(problem: &Problem, plan: &Plan, interrupt: Interrupt<'_>) -> Result<CheckReport, Stopped> {
    // How far a plan may go beyond the limit is told by exact values.
    let recovers = problem.limits.recover_factor.is_some();
    let wanted = if recovers { Wanted::Exact } else { Wanted::Limit };
    Ok(replayed(problem, plan, wanted, interrupt)?.0)
}

/// Checks a plan whose utilisations and gaps are still empty, and writes the computed ones into it.
///
/// The utilisations of large structures are bounds, and the plan says so. Every other claim of the plan is checked. Where the plan is not sound, the written figures are not meaningful.
///
/// # Errors
/// When interrupted, see [`check`].
pub fn check_and_fill_in(
    problem: &Problem,
    plan: &mut Plan,
    interrupt: Interrupt<'_>,
) -> Result<CheckReport, Stopped> {
    let mut report = fill_in(problem, plan, interrupt)?;
    report.add_claims(problem, plan);
    write_ends(plan, &report);
    Ok(report)
}

/// The same for a plan of which only the moves, their times and what they wait for are known: its ends and its summary are written too, with a lower bound of 0.
///
/// # Errors
/// When interrupted, see [`check`].
pub(crate) fn check_and_complete(
    problem: &Problem,
    plan: &mut Plan,
    interrupt: Interrupt<'_>,
) -> Result<CheckReport, Stopped> {
    let mut report = fill_in(problem, plan, interrupt)?;
    report.summary.lower_bound_s = 0.0;
    plan.summary = report.summary;
    write_ends(plan, &report);
    report.add_claims(problem, plan);
    Ok(report)
}

/// Replays a plan and writes the utilisations and gaps into it; nothing else of it is compared.
fn fill_in(problem: &Problem, plan: &mut Plan, interrupt: Interrupt<'_>) -> Result<CheckReport, Stopped> {
    let exact = problem.limits.recover_factor.is_some();
    let wanted = if exact { Wanted::Exact } else { Wanted::Bounds };
    let (report, has_large) = replayed(problem, plan, wanted, interrupt)?;
    plan.utilisation_is = if has_large && !exact { UtilisationIs::Bound } else { UtilisationIs::Exact };
    if report.replayed {
        for (step, figures) in plan.steps.iter_mut().zip(&report.steps) {
            (step.utilisation, step.gap_m) = (figures.utilisation, figures.gap_m);
        }
        (plan.summary.utilisation, plan.summary.gap_m) = (report.summary.utilisation, report.summary.gap_m);
    }
    Ok(report)
}

fn write_ends(plan: &mut Plan, report: &CheckReport) {
    for (step, figures) in plan.steps.iter_mut().zip(&report.steps) {
        step.end = figures.end.unwrap_or(step.end);
    }
}

/// The findings of a replay, without those about claims, and whether there is a large structure.
fn replayed(
    problem: &Problem,
    plan: &Plan,
    wanted: Wanted,
    interrupt: Interrupt<'_>,
) -> Result<(CheckReport, bool), Stopped> {
    let mut replay = Replay::new(problem, plan);
    let findings = order_findings(problem, plan);
    if !findings.is_empty() {
        let Replay { figures: steps, crew, .. } = replay;
        let summary = plan.summary;
        return Ok((CheckReport { findings, replayed: false, steps, summary, last: crew.now }, false));
    }
    replay.run(interrupt)?;
    let mut findings = std::mem::take(&mut replay.findings);
    findings.extend(rests(problem, &problem.start, 0.0));
    meet(problem, &mut replay, &mut findings, interrupt)?;
    findings.extend(judge(problem, &mut replay, wanted, interrupt)?);
    let has_large = replay.structures.loads.has_large();
    let Replay { figures: steps, crew: crew::Crew { now: last, .. }, .. } = replay;
    let end_s = plan.steps.iter().map(crate::plan::Step::end_s).fold(0.0, f64::max);
    for finding in rests(problem, &last, end_s) {
        // What went wrong on the way there is told already.
        let is_known = |known: &Finding| known.rule == finding.rule && known.bodies == finding.bodies;
        if !findings.iter().any(is_known) {
            findings.push(finding);
        }
    }
    findings.sort_by(|a, b| a.at_s.unwrap_or(0.0).total_cmp(&b.at_s.unwrap_or(0.0)));
    findings.extend(goal_findings(problem, &last));
    let summary = summarise(problem, plan, &steps);
    Ok((CheckReport { findings, replayed: true, steps, summary, last }, has_large))
}

/// What is wrong with a crew at rest, apart from its load.
fn rests(problem: &Problem, crew: &Configuration, at_s: f64) -> impl Iterator<Item = Finding> {
    let faults = geometry_faults(problem, crew);
    faults.into_iter().map(move |fault| Finding::of_fault(problem, &fault, None, at_s))
}

/// Finds what every step comes near to.
fn meet(
    problem: &Problem,
    replay: &mut Replay<'_>,
    findings: &mut Vec<Finding>,
    interrupt: Interrupt<'_>,
) -> Result<(), Stopped> {
    let (timeline, made) = (&replay.timeline, &replay.made[..]);
    let near = Near::new(timeline, crew::reach_m(problem));
    let clearance = Clearance { problem, timeline, made };
    let meetings = Meetings { problem, timeline, near: &near, made, clearance: &clearance };
    let met: Result<Vec<Met>, Stopped> =
        (0..made.len()).into_par_iter().map(|step| interrupt.go_on().map(|()| meetings.of(step))).collect();
    for (step, met) in met?.into_iter().enumerate() {
        replay.figures[step].gap_m = met.gap_m;
        let finding = |(fault, at_s): &(Fault, f64)| Finding::of_fault(problem, fault, Some(step), *at_s);
        findings.extend(met.faults.iter().map(finding));
    }
    Ok(())
}
