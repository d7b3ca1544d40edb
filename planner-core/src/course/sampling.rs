//! Samples a span finely enough to draw its figures as straight lines between samples.

use super::parts::Parts;
use super::{Course, Moment};
use rayon::prelude::*;

/// Greatest error of any drawn utilisation halfway between two samples, unless they are less than a 64th of the span apart.
pub const UTILISATION_DRIFT: f64 = 2.5e-3;
/// The same for the smallest gap, in metres; gaps above 50 mm are exempt.
pub const GAP_DRIFT_M: f64 = 2e-4;
/// Gaps above this need no accuracy, in metres.
const WIDE_M: f64 = 0.05;
/// Fractions of a span nearer than this are one instant: a millionth of a span is invisible.
const SAME_SHARE: f64 = 1e-6;
/// Most halvings of a span.
const DEEPEST: u32 = 6;

impl Course<'_> {
    /// Figures at samples of each of its spans, dense enough for straight lines between them. They include the instant of the worst load and those of the
    /// smallest gaps. A span in which nothing moves has one sample.
    ///
    /// Complexity: for each structure in which something moves nine cone programmes a sample where bodies touch; for each other one as many once.
    #[must_use]
    pub fn moments(&self) -> Vec<Vec<Moment>> {
        let parts = Parts::new(self);
        let numbers: Vec<usize> = (0..self.spans.len()).collect();
        numbers.par_iter().map(|&number| self.moments_of(&parts, number)).collect()
    }

    fn moments_of(&self, parts: &Parts<'_>, number: usize) -> Vec<Moment> {
        let span = &self.spans[number];
        if self.bears_payloads(span) {
            return vec![self.moment(span, 0.0)];
        }
        let stretch = span.stretch(self.problem, self.plan);
        let is_still = !span.steps.iter().any(|&index| self.plan.steps[index].action.sweeps());
        if is_still || span.to_s <= span.from_s {
            return vec![parts.moment(self, number, 0.0)];
        }
        let gaps = span.attached.iter().filter_map(|attached| stretch.smallest_gap(attached));
        let mut shares: Vec<f64> = gaps.map(|gap| gap.share).filter(|share| share.is_finite()).collect();
        shares.extend([0.0, 1.0, parts.worst_share(number)]);
        shares.sort_by(f64::total_cmp);
        shares.dedup_by(|late, early| *late - *early < SAME_SHARE);
        let mut moments = Vec::new();
        let mut ends = shares.into_iter().map(|share| (share, parts.moment(self, number, share)));
        let Some(mut from) = ends.next() else { return moments };
        for to in ends {
            self.refine((parts, number), &from, &to, DEEPEST, &mut moments);
            from = to;
        }
        moments.push(from.1);
        moments
    }

    /// Adds the beginning of an interval, and samples inside it.
    fn refine(
        &self,
        (parts, number): (&Parts<'_>, usize),
        from: &(f64, Moment),
        to: &(f64, Moment),
        depth: u32,
        moments: &mut Vec<Moment>,
    ) {
        let share = 0.5 * (from.0 + to.0);
        let middle = (share, parts.moment(self, number, share));
        if depth == 0 || lies_between(&from.1, &middle.1, &to.1) {
            moments.push(from.1.clone());
            return;
        }
        self.refine((parts, number), from, &middle, depth - 1, moments);
        self.refine((parts, number), &middle, to, depth - 1, moments);
    }
}

/// Whether linear interpolation is accurate enough at the middle.
fn lies_between(from: &Moment, middle: &Moment, to: &Moment) -> bool {
    let used = |moment: &Moment, index: usize| moment.bonds.get(index).and_then(|bond| bond.utilisation);
    let bonds = (0..middle.bonds.len()).all(|index| {
        match (used(from, index), used(middle, index), used(to, index)) {
            (Some(a), Some(m), Some(b)) => (0.5 * (a + b) - m).abs() <= UTILISATION_DRIFT,
            _ => true,
        }
    });
    let gap = |moment: &Moment| moment.gap.map(|gap| gap.gap_m);
    let gaps = match (gap(from), gap(middle), gap(to)) {
        (Some(a), Some(m), Some(b)) if m < WIDE_M => (0.5 * (a + b) - m).abs() <= GAP_DRIFT_M,
        _ => true,
    };
    bonds && gaps
}
