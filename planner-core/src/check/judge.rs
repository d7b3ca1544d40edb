//! Judges the loads of a replay: the worst utilisation of every structure over every time, held against its limit.

use super::Finding;
use super::recovery;
use super::replay::Replay;
use super::step_figures::{Beside, places_of_step};
use super::structures::{Span, at};
use crate::control::{Interrupt, Stopped};
use crate::model::Problem;
use crate::motion::structure_utilisations::{Figures, Gravity};
use crate::motion::{Fault, load_fault};
use crate::statics::{Utilisation, assess};
use rayon::prelude::*;

/// How exactly the utilisations of large structures are wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Wanted {
    /// As exactly as those of others.
    Exact,
    /// Bounds on them.
    Bounds,
    /// Whether the bounds that the plan claims hold.
    Claimed,
    /// Not at all: only whether every structure is within its limit.
    Limit,
}

/// Notes the worst utilisation of every step, and returns a finding for every structure that is used beyond its limit.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub(super) fn judge(
    problem: &Problem,
    replay: &mut Replay<'_>,
    wanted: Wanted,
    interrupt: Interrupt<'_>,
) -> Result<Vec<Finding>, Stopped> {
    let structures = &replay.structures;
    let claims = claims(replay);
    let figures = match wanted {
        Wanted::Exact => Figures::Exact,
        Wanted::Bounds => Figures::Bounds,
        Wanted::Claimed => Figures::Claimed(&claims),
        Wanted::Limit => Figures::Limit,
    };
    let moving = structures.loads.of_moving(figures, interrupt)?;
    let (used, worst) = if wanted == Wanted::Limit {
        let beside = vec![Utilisation::NOTHING; structures.loads.len()];
        let used = structures.loads.of_still(&moving, &beside, figures, interrupt)?;
        (used, vec![problem.limits.utilisation(); replay.plan.steps.len()])
    } else {
        let beside = Beside::new(replay, &moving, interrupt)?;
        let used = structures.loads.of_still(&moving, &beside.least(), figures, interrupt)?;
        let worst = beside.with(&used);
        (used, worst)
    };
    let limits = recovery::limits(problem, structures, &used);
    let beyond =
        structures.spans.par_iter().zip(limits).filter(|(span, limit)| !used[span.part].within(*limit));
    let found: Result<Vec<Finding>, Stopped> =
        beyond.map(|(span, _)| finding(replay, span, interrupt)).collect();
    for (figures, worst) in replay.figures.iter_mut().zip(worst) {
        figures.utilisation = worst;
    }
    let mut findings: Vec<Finding> = Vec::new();
    for finding in found? {
        // A load that stays beyond its limit is told once.
        if finding.step.is_some() || !findings.iter().any(|known| known.message == finding.message) {
            findings.push(finding);
        }
    }
    Ok(findings)
}

/// For each structure the least utilisation that the plan claims for a step in its time; infinite where it claims none.
fn claims(replay: &Replay<'_>) -> Vec<f64> {
    let mut at_place = vec![f64::INFINITY; replay.structures.gravity.len()];
    for (step, span) in replay.plan.steps.iter().zip(&replay.spans) {
        at_place[places_of_step(*span)].iter_mut().for_each(|least| *least = least.min(step.utilisation));
    }
    let mut claims = vec![f64::INFINITY; replay.structures.loads.len()];
    for span in &replay.structures.spans {
        let least = replay.structures.places_of(span).map(|place| at_place[place]);
        claims[span.part] = least.fold(claims[span.part], f64::min);
    }
    claims
}

/// What is wrong with the load of a structure.
fn finding(replay: &Replay<'_>, span: &Span, interrupt: Interrupt<'_>) -> Result<Finding, Stopped> {
    let structure = replay.structures.loads.get(span.part);
    let (from_s, to_s) = span.times_s;
    let (report, at_s, utilisation) = if structure.moves() {
        let stretch = structure.stretch();
        let found = stretch.worst_utilisation(interrupt)?;
        let report = assess(&structure.problem, &stretch.load_at(found.share, found.hops_done));
        (report, from_s + found.share * (to_s - from_s), Some(found.utilisation.value))
    } else {
        (assess(&structure.problem, &structure.still_load()), from_s, None)
    };
    let fault = load_fault(&report).unwrap_or(Fault::Load { reason: None, utilisation });
    Ok(Finding::of_fault(&structure.problem, &fault, step_of(replay, span), at_s))
}

/// The step in which the load of a structure is not carried: one under way in it, or else in the crew; at rest the one that ended there.
fn step_of(replay: &Replay<'_>, span: &Span) -> Option<usize> {
    let place = replay.structures.places_of(span).next()?;
    match span.gravity {
        _ if !span.steps.is_empty() => span.steps.iter().min().copied(),
        // The place after an instant is the next.
        Some(Gravity::AtRest) => replay.last_ended(place.checked_sub(at(0) + 1)? / 2),
        _ => replay.structures.first_step[place],
    }
}
