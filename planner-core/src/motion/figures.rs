//! The figures of a step: gap and utilisation over one move.

use super::{Gap, Move, Stretch};
use crate::model::{Body, Configuration, ModuleId, Problem};

/// Pairs whose gap does not count as free: what the step's movers leave, hold or touch at its ends.
#[derive(Clone, Debug)]
pub struct Attached {
    members: Vec<ModuleId>,
    /// Those of them that roll: their gaps to the others count too.
    planted: Vec<ModuleId>,
    pairs: Vec<(ModuleId, Body)>,
}

impl Attached {
    /// For a step of `mover` that leads from `before` to `after`.
    #[must_use]
    pub fn new(
        problem: &Problem,
        mover: ModuleId,
        action: &Move,
        before: &Configuration,
        after: &Configuration,
    ) -> Self {
        let mut attached = Self::to_hosts(mover, action, before, after);
        attached.add(problem, before);
        attached.add(problem, after);
        attached
    }

    /// The same without what touches at the ends.
    pub(crate) fn to_hosts(
        mover: ModuleId,
        action: &Move,
        before: &Configuration,
        after: &Configuration,
    ) -> Self {
        let members = match action {
            Move::Yaw { .. } | Move::Slide { .. } | Move::Stride { .. } => before.carried_with(mover),
            Move::Hop { .. } | Move::Cross { .. } => vec![mover],
            Move::Brace | Move::Release => Vec::new(),
        };
        let planted = match action {
            Move::Stride { planted, .. } => planted.ids().to_vec(),
            _ => Vec::new(),
        };
        let pairs = vec![(mover, before.get(mover).host), (mover, after.get(mover).host)];
        Self { members, planted, pairs }
    }

    /// Adds what its movers touch at one of its ends.
    pub(crate) fn add(&mut self, problem: &Problem, there: &Configuration) {
        let Self { members, planted, pairs } = self;
        for &member in &*members {
            let rolls = planted.contains(&member);
            for (other, _) in there.iter().filter(|(o, _)| *o != member) {
                if members.contains(&other) && rolls == planted.contains(&other) {
                    continue;
                }
                if gap_between(problem, there, member, Body::Module(other)) <= problem.limits.touch_tol_m {
                    pairs.push((member, Body::Module(other)));
                }
            }
            let fixed = problem.ground_ids().map(Body::Ground).chain(problem.stone_ids().map(Body::Stone));
            for body in fixed {
                if gap_between(problem, there, member, body) <= problem.limits.touch_tol_m {
                    pairs.push((member, body));
                }
            }
        }
    }

    /// The modules that move.
    pub(crate) fn members(&self) -> &[ModuleId] {
        &self.members
    }

    /// Whether the gap between a module and another body counts as free.
    pub(crate) fn counts(&self, module: ModuleId, other: Body) -> bool {
        self.members.contains(&module)
            && other.module().is_none_or(|m| {
                m != module
                    && (!self.members.contains(&m)
                        || self.planted.contains(&m) != self.planted.contains(&module))
            })
            && !self.pairs.contains(&(module, other))
    }
}

/// Distance between the surfaces of a module's shell and another body, in metres; negative where they overlap.
#[must_use]
pub fn gap_between(problem: &Problem, configuration: &Configuration, module: ModuleId, other: Body) -> f64 {
    let centre = configuration.get(module).position;
    let radius = problem.kind(module).shell_radius_m;
    match other {
        Body::Ground(deck) => problem.distance_to_ground(deck, centre) - radius,
        Body::Stone(stone) => problem.distance_to_stone(stone, centre) - radius,
        Body::Module(id) => {
            centre.distance(configuration.get(id).position) - radius - problem.kind(id).shell_radius_m
        }
    }
}

impl Stretch<'_> {
    /// The smallest free gap over this stretch between what the step moves and what it is not attached to.
    #[must_use]
    pub fn smallest_gap(&self, attached: &Attached) -> Option<Gap> {
        let mut smallest: Option<Gap> = None;
        let mut offer = |gap: Gap| {
            if smallest.is_none_or(|s| gap.gap_m < s.gap_m) {
                smallest = Some(gap);
            }
        };
        self.visit_gaps(f64::INFINITY, |gap| {
            if attached.counts(gap.module, gap.other) {
                offer(gap);
            }
            // Between two groups a pair is visited once, from the side of the first.
            if let Body::Module(other) = gap.other
                && attached.counts(other, Body::Module(gap.module))
            {
                offer(Gap { module: other, other: Body::Module(gap.module), ..gap });
            }
            true
        });
        for hop in &self.hops {
            let mover = hop.mover;
            let others = self
                .problem
                .ground_ids()
                .map(Body::Ground)
                .chain(self.problem.stone_ids().map(Body::Stone))
                .chain(self.problem.module_ids().map(Body::Module));
            for other in others.filter(|&o| o != Body::Module(mover) && attached.counts(mover, o)) {
                let gap_m = gap_between(self.problem, &self.start, mover, other);
                offer(Gap { module: mover, other, gap_m, share: 0.0 });
            }
        }
        smallest
    }
}
