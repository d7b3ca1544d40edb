//! One failure tried on all structures of a plan.

use super::help::{Help, help};
use super::verdict::{ALL, Verdict};
use crate::check::Stances;
use crate::control::{Interrupt, Stopped};
use crate::model::{Body, ModuleId};
use crate::motion::WorstUtilisation;
use crate::motion::structure_failures::Failed;
use crate::statics::{BondReport, Utilisation, WarmStart, assess};

/// What one failure does to a plan, at its worst instant.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Trial {
    /// The worst over all instants.
    pub verdict: Verdict,
    /// The largest utilisation of a bond; `None` where no forces balance the crew.
    pub utilisation: Option<f64>,
    /// Whether the utilisation is a bound that is not exceeded, not the exact value.
    pub is_bound: bool,
    /// When it is worst, in seconds.
    pub at_s: f64,
    /// The bond that is used most there, as module and host; `None` where nothing is used.
    pub bond: Option<(ModuleId, Body)>,
    /// What would help there, if the crew does not simply stand.
    pub help: Help,
}

/// A failure tried on all structures.
pub(super) struct Tried {
    /// Where it is worst; `None` if it cannot happen to any of them.
    pub(super) worst: Option<Worst>,
    /// The verdict on each structure it can happen to, by its number.
    pub(super) verdicts: Vec<(usize, Verdict)>,
}

/// The worst that a failure does.
pub(super) struct Worst {
    structure: usize,
    failed: Failed,
    found: WorstUtilisation,
    verdict: Verdict,
    is_bound: bool,
}

/// Tries a failure: `failed` gives what becomes of the structure of a number, in as many cases as there are.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub(super) fn try_failure(
    stances: &Stances<'_>,
    limit: f64,
    failed: impl Fn(usize) -> Vec<Failed>,
    interrupt: Interrupt<'_>,
) -> Result<Tried, Stopped> {
    let mut tried = Tried { worst: None, verdicts: Vec::new() };
    let mut hint = WarmStart::default();
    for structure in stances.numbers() {
        let mut verdict: Option<Verdict> = None;
        for failed in failed(structure) {
            let found = tried.look(structure, failed, limit, &mut hint, interrupt)?;
            verdict = verdict.max(Some(found));
        }
        tried.verdicts.extend(verdict.map(|verdict| (structure, verdict)));
    }
    Ok(tried)
}

impl Tried {
    /// The verdict on one structure, which is kept if it is the worst so far.
    fn look(
        &mut self,
        structure: usize,
        failed: Failed,
        limit: f64,
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<Verdict, Stopped> {
        let known = self.worst.as_ref().map_or(WorstUtilisation::NOTHING, |worst| worst.found);
        let settled = known.is_unbalanced();
        if settled || failed.is_large() {
            // The exact utilisation tells nothing more, or takes too long.
            for (bound, verdict) in [(limit, Verdict::Stands), (ALL, Verdict::UsesMargin)] {
                if failed.carries(bound, hint, interrupt)? {
                    let utilisation = Utilisation { value: bound, ..Utilisation::NOTHING };
                    let found = WorstUtilisation { utilisation, ..WorstUtilisation::NOTHING };
                    if self.worst.is_none() || (!settled && bound > known.utilisation.value) {
                        self.worst = Some(Worst { structure, failed, found, verdict, is_bound: true });
                    }
                    return Ok(verdict);
                }
            }
            if settled {
                return Ok(Verdict::Falls);
            }
        }
        let found = failed.worse_than(known, interrupt)?;
        if found.utilisation.is_worse_than(known.utilisation) || self.worst.is_none() {
            let verdict = Verdict::of(found.utilisation, limit);
            self.worst = Some(Worst { structure, failed, found, verdict, is_bound: false });
            return Ok(verdict);
        }
        // It is no worse than what is known.
        Ok(if known.utilisation.within(limit) || failed.carries(limit, hint, interrupt)? {
            Verdict::Stands
        } else if known.utilisation.within(ALL) || failed.carries(ALL, hint, interrupt)? {
            Verdict::UsesMargin
        } else {
            Verdict::Falls
        })
    }
}

impl Worst {
    /// What there is to tell about it.
    pub(super) fn tell(&self, stances: &Stances<'_>, interrupt: Interrupt<'_>) -> Result<Trial, Stopped> {
        let Self { structure, failed, found, verdict, is_bound } = self;
        let members = stances.members(*structure);
        let name = |module: ModuleId| members[failed.number(module).index()];
        let bond = if *is_bound { None } else { most_used(failed, found, interrupt)? };
        let help = match bond {
            Some((child, _)) if *verdict != Verdict::Stands => {
                help(failed, found, child, interrupt)?.named(name)
            }
            _ => Help::default(),
        };
        Ok(Trial {
            verdict: *verdict,
            utilisation: (!found.is_unbalanced()).then_some(found.utilisation.value),
            is_bound: *is_bound,
            at_s: stances.time_s(*structure, found.share),
            bond: bond
                .map(|(child, host)| (name(child), host.module().map_or(host, |m| Body::Module(name(m))))),
            help,
        })
    }
}

/// The bond that fails first, or else is used most, as child and host.
fn most_used(
    failed: &Failed,
    found: &WorstUtilisation,
    interrupt: Interrupt<'_>,
) -> Result<Option<(ModuleId, Body)>, Stopped> {
    interrupt.go_on()?;
    let report = assess(failed.problem(), &failed.case_at(found.share, found.hops_done));
    let used = |bond: &BondReport| bond.utilisation.unwrap_or(0.0);
    let most = report.bonds.iter().filter(|bond| used(bond) > 0.0).max_by(|a, b| used(a).total_cmp(&used(b)));
    Ok(report.reason.map(|r| (r.child, r.host)).or(most.map(|bond| (bond.child, bond.host))))
}
