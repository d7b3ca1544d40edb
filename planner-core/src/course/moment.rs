//! Loads and gaps at one instant.

use super::{Course, Span};
use crate::motion::{Gap, load_with_payloads};
use crate::plan::Status;
use crate::statics::{BondReport, DriveReport, LoadCase, assess};

/// Figures of one instant.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// The instant, in seconds.
    pub at_s: f64,
    /// The report on every module's bond, in the order of the crew, worst over the directions of gravity. For a hopping module, the worse of its old
    /// and its new bond.
    pub bonds: Vec<BondReport>,
    /// The drive forces and yaw torques that movers need.
    pub drives: Vec<DriveReport>,
    /// The least possible largest utilisation; `None` without equilibrium.
    pub utilisation: Option<f64>,
    /// The smallest free gap between what moves and what it neither leaves, holds nor touches.
    pub gap: Option<Gap>,
}

impl Course<'_> {
    /// The figures at a fraction (0 to 1) of one of the course's spans. The end of a solved plan includes the payloads of the slots.
    ///
    /// Complexity: nine cone programmes where bodies touch, times two for every hop under way.
    #[must_use]
    pub fn moment(&self, span: &Span, share: f64) -> Moment {
        let stretch = span.stretch(self.problem, self.plan);
        let mut bonds: Vec<BondReport> = Vec::new();
        let mut drives: Vec<DriveReport> = Vec::new();
        let mut utilisation = Some(0.0_f64);
        for hops_done in 0..1 << span.hop_ends.len().min(16) {
            let case = self.final_load(span).unwrap_or_else(|| stretch.load_at(share, hops_done));
            let report = assess(self.problem, &case);
            utilisation = utilisation.zip(report.utilisation).map(|(a, b)| a.max(b));
            for bond in report.bonds {
                match bonds.iter_mut().find(|known| known.child == bond.child) {
                    Some(known) if is_worse(&bond, known) => *known = bond,
                    Some(_) => {}
                    None => bonds.push(bond),
                }
            }
            for drive in report.drives {
                match drives.iter_mut().find(|known| known.child == drive.child) {
                    Some(known) if drive.needs > known.needs => *known = drive,
                    Some(_) => {}
                    None => drives.push(drive),
                }
            }
        }
        bonds.sort_by_key(|bond| bond.child);
        let there = stretch.at(share);
        let gaps = span.attached.iter().filter_map(|attached| attached.gap_at(self.problem, &there));
        let gap = gaps.reduce(|a, b| if b.gap_m < a.gap_m { b } else { a }).map(|gap| Gap { share, ..gap });
        let at_s = span.from_s + share * (span.to_s - span.from_s);
        Moment { at_s, bonds, drives, utilisation, gap }
    }

    /// The load case of the final shape with the slots' payloads, if the span is the rest at the end and there are any.
    fn final_load(&self, span: &Span) -> Option<LoadCase> {
        let is_last =
            self.plan.status == Status::Solved && span.steps.is_empty() && span.from_s == self.end_s();
        let has_payloads = self.problem.goal.slots.iter().any(|slot| slot.payload_kg > 0.0);
        let filling = (is_last && has_payloads).then(|| self.problem.filling(&span.begin)).flatten()?;
        Some(load_with_payloads(self.problem, &span.begin, &filling))
    }
}

/// A bond without adhesion that needs some is the worst; a bond with adhesion is worse than one that needs none.
fn is_worse(a: &BondReport, b: &BondReport) -> bool {
    let rank = |bond: &BondReport| match bond.utilisation {
        None if bond.needs_n > 0.0 => (2, bond.needs_n),
        Some(used) => (1, used),
        None => (0, bond.needs_n),
    };
    rank(a) > rank(b)
}
