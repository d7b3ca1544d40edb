//! Checks the parts of a replay: each stretch of time in which the moves under way stay the same, and each rest between.

use super::Finding;
use super::clearance::{Past, clearance_faults};
use crate::control::{Interrupt, Stopped};
use crate::model::{Body, Configuration, ModuleId, Placement, Problem};
use crate::motion::{Fault, Stretch, faults_at_rest, geometry_faults, load_fault};
use crate::statics::{Utilisation, assess};

/// One part of a replay; the parts are independent of each other.
pub(super) enum Look<'a> {
    /// The crew at rest after a step.
    Rest { crew: Configuration, parts: Vec<usize>, at_s: f64, step: Option<usize> },
    /// The interval from `from` to `to` with some steps under way.
    Stretch {
        stretch: Stretch<'a>,
        parts: Vec<usize>,
        steps: Vec<usize>,
        watched: Vec<Watched>,
        from: f64,
        to: f64,
    },
}

/// A step under way, and the modules it moves.
pub(super) struct Watched {
    step: usize,
    group: Vec<ModuleId>,
}

/// The result for one part.
pub(super) struct Verdict {
    pub(super) findings: Vec<Finding>,
    /// The worst utilisation; 0 at rest, where it belongs to no step.
    pub(super) utilisation: f64,
}

impl Watched {
    pub(super) fn new(step: usize, group: &[(ModuleId, Placement)]) -> Self {
        Self { step, group: group.iter().map(|(module, _)| *module).collect() }
    }
}

impl Look<'_> {
    /// The steps under way.
    pub(super) fn steps(&self) -> &[usize] {
        match self {
            Self::Rest { .. } => &[],
            Self::Stretch { steps, .. } => steps,
        }
    }

    /// The structures of a stretch.
    pub(super) fn parts_under_way(&self) -> Option<&[usize]> {
        match self {
            Self::Rest { .. } => None,
            Self::Stretch { parts, .. } => Some(parts),
        }
    }

    /// Its structures.
    pub(super) fn parts(&self) -> &[usize] {
        match self {
            Self::Rest { parts, .. } | Self::Stretch { parts, .. } => parts,
        }
    }

    /// Whether a structure of a stretch is within a limit at its end.
    pub(super) fn ends_within(&self, limit: f64, members: &[ModuleId]) -> bool {
        match self {
            Self::Rest { .. } => false,
            Self::Stretch { stretch, .. } => stretch.part_at_end(members).within(limit),
        }
    }

    pub(super) const fn is_rest(&self) -> bool {
        matches!(self, Self::Rest { .. })
    }

    /// Faults and utilisation, from the results for each structure.
    pub(super) fn judge(
        &self,
        problem: &Problem,
        loads: &[Utilisation],
        limits: &[f64],
        history: &[Option<Past>],
        interrupt: Interrupt<'_>,
    ) -> Result<Verdict, Stopped> {
        let all_within =
            |parts: &[usize]| parts.iter().zip(limits).all(|(&part, limit)| loads[part].within(*limit));
        let worst = |parts: &[usize]| {
            parts.iter().map(|&part| loads[part]).fold(Utilisation::NOTHING, Utilisation::worse)
        };
        match self {
            Self::Rest { crew, parts, at_s, step } => {
                interrupt.go_on()?;
                let faults = if all_within(parts) {
                    geometry_faults(problem, crew)
                } else {
                    faults_at_rest(problem, crew)
                };
                let of_fault = |fault: &Fault| Finding::of_fault(problem, fault, *step, *at_s);
                Ok(Verdict { findings: faults.iter().map(of_fault).collect(), utilisation: 0.0 })
            }
            Self::Stretch { stretch, parts, steps, watched, from, to } => {
                let at = |share: f64| from + share * (to - from);
                let first = steps.first().copied();
                let mut findings = Vec::new();
                for (fault, share) in stretch.clearance_faults() {
                    let step = blame(watched, &fault).or(first);
                    findings.push(Finding::of_fault(problem, &fault, step, at(share)));
                }
                for (fault, share) in clearance_faults(problem, stretch, steps, history) {
                    let step = blame(watched, &fault).or(first);
                    findings.push(Finding::of_fault(problem, &fault, step, at(share)));
                }
                let mut worst = worst(parts);
                if !all_within(parts) {
                    let found = stretch.worst_utilisation(interrupt)?;
                    let report = assess(problem, &stretch.load_at(found.share, found.hops_done));
                    let utilisation = Some(found.utilisation.value);
                    let fault = load_fault(&report).unwrap_or(Fault::Load { reason: None, utilisation });
                    findings.push(Finding::of_fault(problem, &fault, first, at(found.share)));
                    worst = found.utilisation;
                }
                Ok(Verdict { findings, utilisation: worst.value })
            }
        }
    }
}

/// The step whose mover or load has the fault.
fn blame(watched: &[Watched], fault: &Fault) -> Option<usize> {
    let bodies = fault.bodies();
    let is_about = |w: &&Watched| w.group.iter().any(|m| bodies.contains(&Body::Module(*m)));
    watched.iter().find(is_about).map(|w| w.step)
}
