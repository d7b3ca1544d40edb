//! Clearance while modules drive (section 4 of the model, rule 5).

use super::gaps::{Made, displaces};
use super::timeline::Timeline;
use crate::geometry::Path;
use crate::math::{DVec3, tolerance};
use crate::model::{Body, GroundId, ModuleId, Problem};
use crate::motion::Move;

/// The gaps that drives have to keep.
pub(super) struct Clearance<'a> {
    pub(super) problem: &'a Problem,
    pub(super) timeline: &'a Timeline,
    pub(super) made: &'a [Option<Made>],
}

impl Clearance<'_> {
    /// The most clearance asked for from a ground anywhere on a path, in metres, or more.
    pub(super) fn most_wanted_m(&self, ground: GroundId, path: &Path) -> f64 {
        self.wanted_m() + self.problem.ground(ground).beyond_m(path)
    }

    /// The clearance asked for in the scene from smooth bodies, in metres.
    pub(super) const fn wanted_m(&self) -> f64 {
        self.problem.limits.clearance_m
    }

    /// The clearance asked for from a body with a shell's centre at a place, in metres.
    pub(super) fn wanted_at_m(&self, other: Body, centre: DVec3) -> f64 {
        self.problem.clearance_from_m(other, centre)
    }

    /// The gap that a module which a step moves keeps from another body, in metres, if the gap found is less than what is asked for in the scene.
    /// `centre` is that of its shell there, and `beside` the step that moves the other body.
    pub(super) fn asked_m(
        &self,
        (module, other): (ModuleId, Body),
        (gap_m, centre): (f64, DVec3),
        step: &Made,
        beside: Option<&Made>,
    ) -> Option<f64> {
        let wanted = self.wanted_at_m(other, centre);
        let own = self.timeline.piece_at(module, step.from_s).place.host;
        let crossed = step.hosts.into_iter().filter(|_| step.module == module);
        let strides = !step.planted().is_empty() && step.module == module;
        let hides = |host: Body| !(strides && host == other) && self.is_hidden(host, other);
        if wanted <= 0.0 || gap_m >= wanted || hides(own) || crossed.into_iter().any(hides) {
            return None;
        }
        let ends = [Some(step), beside].into_iter().flatten().flat_map(|made| [made.from_s, made.to_s]);
        let counted = ends.filter_map(|at_s| {
            let gap_m = self.gap_at(module, other, at_s);
            let touches = gap_m.abs() <= self.problem.limits.touch_tol_m;
            (touches || self.counts(Body::Module(module), other, at_s)).then_some(gap_m)
        });
        Some(counted.fold(wanted, f64::min))
    }

    /// Whether a ground lies wholly below the one that a module stands on and within its outline: there it is no body.
    fn is_hidden(&self, own: Body, other: Body) -> bool {
        let (Body::Ground(own), Body::Ground(below)) = (own, other) else { return false };
        let own = self.problem.ground(own);
        self.problem.decks_of(below).all(|deck| {
            deck.solid.outline.iter().all(|&corner| {
                let top = deck.solid.top.under(corner);
                let under = own.plane.under(corner);
                top.z <= under.z + tolerance::LENGTH_M && own.inset(under) >= -tolerance::LENGTH_M
            })
        })
    }

    fn gap_at(&self, module: ModuleId, other: Body, at_s: f64) -> f64 {
        let centre = self.timeline.position_at(module, at_s);
        let radius = self.problem.kind(module).shell_radius_m;
        match other {
            Body::Ground(ground) => self.problem.distance_to_ground(ground, centre) - radius,
            Body::Module(id) => {
                let apart = centre.distance(self.timeline.position_at(id, at_s));
                apart - radius - self.problem.kind(id).shell_radius_m
            }
            Body::Stone(id) => self.problem.distance_to_stone(id, centre) - radius,
        }
    }

    /// Whether two bodies keep their places from an instant back to the plan's start or on to its end, or to a hop between them.
    fn counts(&self, a: Body, b: Body, at_s: f64) -> bool {
        let own = |body: Body| body.module().map_or(&[][..], |module| self.timeline.of(module));
        let leaving = || {
            own(a)
                .iter()
                .chain(own(b))
                .filter(|piece| piece.moved.is_some_and(|(_, sweep)| displaces(&sweep, piece.place.position)))
        };
        if leaving().any(|p| p.from_s < at_s - tolerance::TIME_S && p.to_s > at_s + tolerance::TIME_S) {
            return false;
        }
        let before = leaving().map(|p| p.to_s).filter(|t| *t <= at_s + tolerance::TIME_S);
        let after = leaving().map(|p| p.from_s).filter(|t| *t >= at_s - tolerance::TIME_S);
        let (Some(since), Some(until)) = (before.reduce(f64::max), after.reduce(f64::min)) else {
            return true;
        };
        self.made.iter().flatten().filter(|made| hops_between(made, a, b)).any(|made| {
            // A stride leaves its old ground where it begins, and is on the new one where it ends.
            let is_within =
                |at_s: f64| at_s >= since - tolerance::TIME_S && at_s <= until + tolerance::TIME_S;
            let is = |host: Body| host == a || host == b;
            match made.action {
                Move::Stride { .. } => {
                    is(made.hosts[0]) && is_within(made.from_s) || is(made.hosts[1]) && is_within(made.to_s)
                }
                _ => is_within(made.from_s) && is_within(made.to_s),
            }
        })
    }
}

/// Whether one of two bodies hops or strides to or from the other in a step.
fn hops_between(made: &Made, a: Body, b: Body) -> bool {
    let is = |body: Body| body == Body::Module(made.module);
    matches!(made.action, Move::Hop { .. } | Move::Stride { .. })
        && ((is(a) && made.hosts.contains(&b)) || (is(b) && made.hosts.contains(&a)))
}
