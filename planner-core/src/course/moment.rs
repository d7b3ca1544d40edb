//! Loads and gaps at one instant.

use super::parts::Figures;
use super::{Course, Span};
use crate::model::ModuleId;
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
    /// Complexity: nine cone programmes over the whole crew where bodies touch, times two for every hop under way.
    #[must_use]
    pub fn moment(&self, span: &Span, share: f64) -> Moment {
        let stretch = span.stretch(self.problem, self.plan);
        let crew: Vec<ModuleId> = self.problem.module_ids().collect();
        let mut figures = Figures::default();
        for hops_done in 0..1 << span.hop_ends.len().min(16) {
            let case = self.final_load(span).unwrap_or_else(|| stretch.load_at(share, hops_done));
            figures.add(assess(self.problem, &case), &crew);
        }
        self.moment_of(span, share, figures)
    }

    /// The figures of an instant, with the loads given.
    pub(super) fn moment_of(&self, span: &Span, share: f64, figures: Figures) -> Moment {
        let Figures { mut bonds, drives, utilisation } = figures;
        bonds.sort_by_key(|bond| bond.child);
        let there = span.stretch(self.problem, self.plan).at(share);
        let gaps = span.attached.iter().filter_map(|attached| attached.gap_at(self.problem, &there));
        let gap = gaps.reduce(|a, b| if b.gap_m < a.gap_m { b } else { a }).map(|gap| Gap { share, ..gap });
        let at_s = span.from_s + share * (span.to_s - span.from_s);
        Moment { at_s, bonds, drives, utilisation, gap }
    }

    /// Whether the end of a span bears the payloads of the slots.
    pub(super) fn bears_payloads(&self, span: &Span) -> bool {
        self.final_load(span).is_some()
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
