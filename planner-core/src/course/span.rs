//! Spans: intervals of time in which a structure and the moves in it stay the same.

use crate::model::{Body, GroundId, ModuleId, Placement, Problem};
use crate::motion::Underway;
use crate::motion::structure::sets_of;
use crate::motion::structure_utilisations::{Gravity, Part, Wanted};
use crate::plan::Plan;
use petgraph::unionfind::UnionFind;

/// A structure from one of its events to the next: modules joined by bonds or by touches that count. Rests are spans too. A hopping module joins its old
/// host and its new one.
#[derive(Clone, Debug)]
pub struct Span {
    /// Beginning, in seconds.
    pub from_s: f64,
    /// End, in seconds.
    pub to_s: f64,
    /// The modules of the structure, in the order of the crew.
    pub members: Vec<ModuleId>,
    /// Indices of the steps under way in it.
    pub steps: Vec<usize>,
    /// The touches with grounds that count: which module touches which ground.
    pub supports: Vec<(ModuleId, GroundId)>,
    /// The places of the members at the beginning, with the holds that count during the span: rolling while a brace is under way.
    pub(super) begin: Vec<Placement>,
    pub(super) hop_ends: Vec<(ModuleId, Placement)>,
    /// What slots put on the members when the goal is reached, in kilograms.
    pub(super) payloads: Vec<(ModuleId, f64)>,
}

impl Span {
    /// The place of a member at the beginning, with the hold that counts during the span.
    #[must_use]
    pub fn place(&self, module: ModuleId) -> Option<&Placement> {
        Some(&self.begin[self.members.binary_search(&module).ok()?])
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

    /// Whether something slides, yaws, strides, hops or crosses in it.
    #[must_use]
    pub fn moves(&self, plan: &Plan) -> bool {
        !self.hop_ends.is_empty() || self.steps.iter().any(|&index| plan.steps[index].action.sweeps())
    }

    /// The moves that sweep, each with the share of it that the span covers.
    pub(super) fn sweeping(&self, plan: &Plan) -> Vec<Underway> {
        let steps = self.steps.iter().map(|&index| &plan.steps[index]).filter(|step| step.action.sweeps());
        steps
            .map(|step| Underway {
                mover: step.module,
                action: step.action,
                share: (self.to_s - self.from_s) / step.duration_s,
            })
            .collect()
    }

    /// The structure with the moves in it.
    pub(super) fn part<'a>(&'a self, moving: &'a [Underway]) -> Part<'a> {
        Part { members: &self.members, places: &self.begin, moving, hops: &self.hop_ends }
    }
}

/// A set of modules by itself, in which moves and hops are under way, in parts that neither bond nor touch: the numbers of their modules in the set;
/// and the touches with grounds that count, by those numbers.
pub(super) fn parts_of(problem: &Problem, part: Part<'_>) -> (Vec<Vec<usize>>, Vec<(usize, GroundId)>) {
    let wanted = Wanted::new(problem, part, Gravity::UnderWay);
    let touches = wanted.stretch().load_at(0.0, 0).touches;
    let there = &wanted.there;
    let mut joined: UnionFind<usize> = UnionFind::new(there.len());
    let bonds = there.iter().map(|(id, place)| (id, place.host));
    let hops = wanted.hops.iter().map(|(id, end)| (*id, end.host));
    for (id, other) in bonds.chain(hops).chain(touches.iter().map(|touch| (touch.module, touch.other))) {
        if let Body::Module(other) = other {
            joined.union(id.index(), other.index());
        }
    }
    let supports = touches.iter().filter_map(|touch| Some((touch.module.index(), touch.other.ground()?)));
    (sets_of(&joined, |number| number), supports.collect())
}
