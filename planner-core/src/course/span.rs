//! Spans: intervals of time in which the moves under way stay the same.

use crate::model::{Body, Configuration, GroundId, ModuleId, Problem};
use crate::motion::{Attached, Gap, Stretch, Underway};
use crate::plan::Plan;

/// An interval from one event to the next. Rests are spans too.
#[derive(Clone, Debug)]
pub struct Span {
    /// Beginning, in seconds.
    pub from_s: f64,
    /// End, in seconds; the last span of a course has no length.
    pub to_s: f64,
    /// Indices of the steps under way.
    pub steps: Vec<usize>,
    /// The configuration at the beginning, with the holds that count during the span: rolling while a brace is under way.
    pub begin: Configuration,
    pub(super) attached: Vec<Attached>,
    pub(super) hop_ends: Vec<(ModuleId, crate::model::Placement)>,
}

impl Span {
    /// The span as a stretch, to which the rules apply.
    #[must_use]
    pub fn stretch<'a>(&self, problem: &'a Problem, plan: &Plan) -> Stretch<'a> {
        let underway: Vec<Underway> = self.underway(plan).collect();
        Stretch::new(problem, self.begin.clone(), &underway, &self.hop_ends)
    }

    /// The moves under way, each with the share of it that the span covers.
    pub(super) fn underway<'a>(&'a self, plan: &'a Plan) -> impl Iterator<Item = Underway> + 'a {
        self.steps.iter().map(|&index| &plan.steps[index]).map(|step| Underway {
            mover: step.module,
            action: step.action,
            share: (self.to_s - self.from_s) / step.duration_s,
        })
    }

    /// The exact smallest free gap of one step over this span; `None` if the step is not under way or has no free gap.
    #[must_use]
    pub fn smallest_gap(&self, problem: &Problem, plan: &Plan, step: usize) -> Option<Gap> {
        let index = self.steps.iter().position(|known| *known == step)?;
        self.stretch(problem, plan).smallest_gap(&self.attached[index])
    }

    /// The fraction of the span that has passed at an instant.
    #[must_use]
    pub fn share(&self, at_s: f64) -> f64 {
        if self.to_s > self.from_s {
            ((at_s - self.from_s) / (self.to_s - self.from_s)).clamp(0.0, 1.0)
        } else {
            0.0
        }
    }

    /// The touches with grounds that count over the span: which module touches which ground.
    #[must_use]
    pub fn supports(&self, problem: &Problem, plan: &Plan) -> Vec<(ModuleId, GroundId)> {
        let touches = self.stretch(problem, plan).load_at(0.0, 0).touches;
        touches.iter().filter_map(|touch| Some((touch.module, touch.other.ground()?))).collect()
    }

    /// The separate structures of the crew: modules joined by bonds or by touches that count, in the order of the crew. A hopping module joins its
    /// old host and its new one.
    #[must_use]
    pub fn clusters(&self, problem: &Problem, plan: &Plan) -> Vec<Vec<ModuleId>> {
        let touches = self.stretch(problem, plan).load_at(0.0, 0).touches;
        let bonds = self.begin.iter().map(|(id, place)| (id, place.host));
        let hops = self.hop_ends.iter().map(|(id, place)| (*id, place.host));
        let touching = touches.iter().map(|touch| (touch.module, touch.other));
        let mut label: Vec<usize> = (0..self.begin.len()).collect();
        for (a, b) in bonds.chain(hops).chain(touching) {
            let Body::Module(b) = b else { continue };
            let (keep, drop) = (label[a.index()], label[b.index()]);
            label.iter_mut().filter(|l| **l == drop).for_each(|l| *l = keep);
        }
        let mut clusters: Vec<(usize, Vec<ModuleId>)> = Vec::new();
        for (index, l) in label.into_iter().enumerate() {
            let id = ModuleId::at(index);
            match clusters.iter_mut().find(|(known, _)| *known == l) {
                Some((_, members)) => members.push(id),
                None => clusters.push((l, vec![id])),
            }
        }
        clusters.into_iter().map(|(_, members)| members).collect()
    }
}
