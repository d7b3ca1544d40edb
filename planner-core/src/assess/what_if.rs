//! The table of single failures of a plan.

use super::failure::{Failure, HEAVIER};
use super::stall::{StallRow, stall_rows};
use super::touch::{TouchRow, touch_rows, without_touches};
use super::trial::{Trial, Tried, try_failure};
use super::verdict::{ALL, Verdict};
use crate::check::{FurtherTilt, Stances};
use crate::control::{Interrupt, Stopped};
use crate::model::{ModuleId, Problem};
use crate::motion::structure_failures::Failed;
use crate::plan::Plan;
use rayon::prelude::*;

/// What single failures do to a plan, at whatever instant they happen.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct WhatIf {
    /// One for each module and failure that was asked for, modules in the order of the crew.
    pub failures: Vec<FailureRow>,
    /// One for each module: its drive stops.
    pub stalls: Vec<StallRow>,
    /// One for each touch that counts at some instant: it is not there.
    pub touches: Vec<TouchRow>,
    /// No touch is there; `None` for a plan without touches.
    pub without_touches: Option<Trial>,
    /// How much further gravity may tilt: until some bond is used beyond the limit on plans, and until some bond gives.
    pub further_tilt: [FurtherTilt; 2],
    /// The time of the plan, and what the worst failure of one module does in each piece of it: those of `failures`.
    pub timeline: Vec<Piece>,
}

/// One failure of one module.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct FailureRow {
    /// The module.
    pub module: ModuleId,
    /// What fails.
    pub failure: Failure,
    /// The worst over all instants; `None` if there is nothing to fail, or nothing left to fall: a module that is never braced, or has no bond
    /// with adhesion, or carries all there is with it.
    pub trial: Option<Trial>,
    /// The most modules that are gone, itself among them, when its bond lets go; 0 for other failures.
    pub gone: usize,
}

/// A piece of a plan's time in which the verdict stays the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Its beginning, in seconds.
    pub from_s: f64,
    /// Its end, in seconds.
    pub to_s: f64,
    /// What the worst single failure does.
    pub verdict: Verdict,
}

impl WhatIf {
    /// The worst verdict of all: failures, stalls, and single touches that are not there.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let failures = self.failures.iter().filter_map(|row| Some(row.trial.as_ref()?.verdict));
        let stalls = self.stalls.iter().filter_map(|row| row.verdict);
        let touches = self.touches.iter().map(|row| row.trial.verdict);
        failures.chain(stalls).chain(touches).max().unwrap_or(Verdict::Stands)
    }
}

/// What single failures do to a plan that is sound.
///
/// Utilisations are exact over all instants, as those of the check; those of structures with many touches are bounds. Complexity: for each module
/// and failure at most that of a check of the loads, mostly much less.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub fn what_if(problem: &Problem, plan: &Plan, interrupt: Interrupt<'_>) -> Result<WhatIf, Stopped> {
    let stances = Stances::new(problem, plan, interrupt)?;
    let limit = problem.limits.utilisation();
    let rows = rows(&stances, limit, every_failure(problem), interrupt)?;
    let (failures, tried): (Vec<FailureRow>, Vec<Tried>) = rows.into_iter().unzip();
    let further_tilt = |limit| FurtherTilt::of(&stances, limit, interrupt);
    let stalls = stall_rows(&stances, plan, problem.module_ids(), limit, interrupt)?;
    Ok(WhatIf {
        timeline: timeline(&stances, &tried),
        failures,
        stalls,
        touches: touch_rows(&stances, limit, interrupt)?,
        without_touches: without_touches(&stances, limit, interrupt)?,
        further_tilt: [further_tilt(limit)?, further_tilt(ALL)?],
    })
}

/// What one kind of failure does to a sound plan: the row of each module, as in [`what_if`].
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub fn what_if_any(
    problem: &Problem,
    plan: &Plan,
    failure: Failure,
    interrupt: Interrupt<'_>,
) -> Result<Vec<FailureRow>, Stopped> {
    let stances = Stances::new(problem, plan, interrupt)?;
    let failures = problem.module_ids().map(|module| (module, failure)).collect();
    let rows = rows(&stances, problem.limits.utilisation(), failures, interrupt)?;
    Ok(rows.into_iter().map(|(row, _)| row).collect())
}

/// Each failure tried at every instant.
fn rows(
    stances: &Stances<'_>,
    limit: f64,
    failures: Vec<(ModuleId, Failure)>,
    interrupt: Interrupt<'_>,
) -> Result<Vec<(FailureRow, Tried)>, Stopped> {
    let row = |(module, failure)| {
        let tried = try_failure(stances, limit, failed_in(stances, module, failure), interrupt)?;
        let trial = tried.worst.as_ref().map(|worst| worst.tell(stances, interrupt)).transpose()?;
        let gone = if failure == Failure::Bond { most_gone(stances, module) } else { 0 };
        Ok((FailureRow { module, failure, trial, gone }, tried))
    };
    failures.into_par_iter().map(row).collect()
}

/// What the worst failure of one module does in each piece of a plan's time; `None` for a plan with structures of many touches, which takes long.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub fn survival(
    problem: &Problem,
    plan: &Plan,
    interrupt: Interrupt<'_>,
) -> Result<Option<Vec<Piece>>, Stopped> {
    let stances = Stances::new(problem, plan, interrupt)?;
    if stances.numbers().any(|number| stances.get(number).is_large) {
        return Ok(None);
    }
    let limit = problem.limits.utilisation();
    let tried: Result<Vec<Tried>, Stopped> = every_failure(problem)
        .into_par_iter()
        .map(|(module, failure)| {
            try_failure(&stances, limit, failed_in(&stances, module, failure), interrupt)
        })
        .collect();
    Ok(Some(timeline(&stances, &tried?)))
}

fn every_failure(problem: &Problem) -> Vec<(ModuleId, Failure)> {
    problem.module_ids().flat_map(|m| Failure::ALL.map(|(failure, _)| (m, failure))).collect()
}

/// What becomes of the structure of a number when something of a module fails; nothing where it cannot.
fn failed_in<'a>(
    stances: &'a Stances<'_>,
    module: ModuleId,
    failure: Failure,
) -> impl Fn(usize) -> Vec<Failed> + use<'a> {
    move |number| {
        let Ok(index) = stances.members(number).binary_search(&module) else { return Vec::new() };
        let (wanted, own) = (stances.get(number), ModuleId::at(index));
        match failure {
            Failure::Cup => Failed::cup(wanted, own).into_iter().collect(),
            Failure::Bond => Failed::bond(wanted, own),
            Failure::Mass => vec![Failed::mass(wanted, own, HEAVIER)],
        }
    }
}

/// The most modules that are gone at any instant when the bond of a module lets go, itself among them; 0 if it never has adhesion.
fn most_gone(stances: &Stances<'_>, module: ModuleId) -> usize {
    let gone = |number: usize| {
        let index = stances.members(number).binary_search(&module).ok()?;
        Some(Failed::most_gone(stances.get(number), ModuleId::at(index)))
    };
    stances.numbers().filter_map(gone).max().unwrap_or(0)
}

/// The verdicts over time; neighbours of the same verdict are one piece.
fn timeline(stances: &Stances<'_>, tried: &[Tried]) -> Vec<Piece> {
    let pieces = stances.pieces();
    let mut worst = vec![Verdict::Stands; pieces.len()];
    for &(number, verdict) in tried.iter().flat_map(|tried| &tried.verdicts) {
        for piece in stances.pieces_of(number) {
            worst[piece] = worst[piece].max(verdict);
        }
    }
    let mut found: Vec<Piece> = Vec::new();
    for (&(from_s, to_s), verdict) in pieces.iter().zip(worst) {
        match found.last_mut() {
            Some(last) if last.verdict == verdict => last.to_s = to_s,
            _ => found.push(Piece { from_s, to_s, verdict }),
        }
    }
    found
}
