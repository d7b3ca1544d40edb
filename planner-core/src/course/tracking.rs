//! Follows the structures of a crew from event to event.

use super::Span;
use super::span::parts_of;
use crate::model::{Body, Configuration, GroundId, ModuleId, Placement, Problem};
use crate::motion::Underway;
use crate::motion::gap_between;
use crate::motion::structure_utilisations::Part;
use crate::plan::Plan;

/// The spans that are open and those that have ended.
pub(super) struct Tracking<'a> {
    problem: &'a Problem,
    plan: &'a Plan,
    /// The number of the open span of each module.
    open: Vec<usize>,
    pub(super) spans: Vec<Span>,
}

/// What is under way in the crew at an event.
pub(super) struct Event<'a> {
    pub(super) at_s: f64,
    /// The places of all, with the holds that count.
    pub(super) there: &'a Configuration,
    /// The steps under way, with their movers.
    pub(super) steps: &'a [(usize, ModuleId)],
    /// The ends of hops and crosses under way.
    pub(super) hop_ends: &'a [(ModuleId, Placement)],
}

impl<'a> Tracking<'a> {
    pub(super) fn new(problem: &'a Problem, plan: &'a Plan) -> Self {
        Self { problem, plan, open: vec![usize::MAX; problem.modules.len()], spans: Vec::new() }
    }

    /// Ends the spans of the structures that some modules leave, join or move in, and begins those that follow.
    ///
    /// Only these modules begin or end a move, so that only their bonds and touches may be others than before.
    pub(super) fn change(&mut self, changed: &[ModuleId], event: &Event<'_>) {
        let mut within = vec![false; self.open.len()];
        for &module in changed {
            self.take_in(module, &mut within);
            let hosts = event.hop_ends.iter().filter(|(mover, _)| *mover == module).map(|(_, end)| end.host);
            for host in hosts.chain([event.there.get(module).host]) {
                if let Body::Module(host) = host {
                    self.take_in(host, &mut within);
                }
            }
            for other in event.there.iter().map(|(other, _)| other).filter(|other| *other != module) {
                let gap_m = gap_between(self.problem, event.there, module, Body::Module(other));
                if gap_m <= self.problem.limits.touch_tol_m && !within[other.index()] {
                    self.take_in(other, &mut within);
                }
            }
        }
        let members: Vec<ModuleId> =
            self.problem.module_ids().filter(|module| within[module.index()]).collect();
        self.begin(&members, event);
    }

    /// Takes in a module with all of its structure.
    fn take_in(&mut self, module: ModuleId, within: &mut [bool]) {
        match self.spans.get(self.open[module.index()]) {
            Some(span) => span.members.iter().for_each(|member| within[member.index()] = true),
            None => within[module.index()] = true,
        }
    }

    /// Begins the spans of the structures of some modules. Nothing joins these with others.
    fn begin(&mut self, members: &[ModuleId], event: &Event<'_>) {
        let is_in = |module: &ModuleId| members.binary_search(module).is_ok();
        let places: Vec<Placement> = members.iter().map(|&module| *event.there.get(module)).collect();
        let steps: Vec<(usize, ModuleId)> =
            event.steps.iter().copied().filter(|(_, mover)| is_in(mover)).collect();
        let hops: Vec<_> = event.hop_ends.iter().copied().filter(|(mover, _)| is_in(mover)).collect();
        let underway = |&(index, mover): &(usize, ModuleId)| {
            let action = self.plan.steps[index].action;
            Underway { mover, action, share: 0.0 }
        };
        let moving: Vec<Underway> = steps.iter().map(underway).collect();
        let part = Part { members, places: &places, moving: &moving, hops: &hops };
        let (parts, supports) = parts_of(self.problem, part);
        for numbers in parts {
            let own: Vec<ModuleId> = numbers.iter().map(|&number| members[number]).collect();
            let is_own = |module: &ModuleId| own.binary_search(module).is_ok();
            let touched = supports.iter().map(|&(number, ground)| (members[number], ground));
            let span = Span {
                from_s: event.at_s,
                to_s: event.at_s,
                steps: steps.iter().filter(|(_, mover)| is_own(mover)).map(|(index, _)| *index).collect(),
                supports: touched.filter(|(module, _)| is_own(module)).collect::<Vec<(ModuleId, GroundId)>>(),
                begin: numbers.iter().map(|&number| places[number]).collect(),
                hop_ends: hops.iter().copied().filter(|(mover, _)| is_own(mover)).collect(),
                payloads: Vec::new(),
                members: own,
            };
            self.open(span);
        }
    }

    fn open(&mut self, span: Span) {
        for member in &span.members {
            self.end(*member, span.from_s);
            self.open[member.index()] = self.spans.len();
        }
        self.spans.push(span);
    }

    /// Ends the open span of a module, if there is one.
    fn end(&mut self, module: ModuleId, at_s: f64) {
        if let Some(span) = self.spans.get_mut(self.open[module.index()]) {
            span.to_s = at_s;
        }
    }

    /// Ends everything. Where slots put payloads on the modules that fill them, every structure has a last span, without length, in which it bears them.
    pub(super) fn finish(mut self, end_s: f64, payloads: &[(ModuleId, f64)]) -> Vec<Span> {
        for index in 0..self.open.len() {
            self.end(ModuleId::at(index), end_s);
        }
        let mut last: Vec<usize> = self.open.clone();
        last.sort_unstable();
        last.dedup();
        for number in last.into_iter().filter(|_| !payloads.is_empty()) {
            let Some(span) = self.spans.get(number) else { continue };
            let borne = payloads.iter().copied().filter(|(module, _)| span.members.contains(module));
            let span = Span { from_s: end_s, payloads: borne.collect(), ..span.clone() };
            self.spans.push(span);
        }
        self.spans.retain(|span| span.to_s > span.from_s || span.from_s == end_s);
        self.spans
    }
}
