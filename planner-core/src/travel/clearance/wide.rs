//! The clearance that drives keep from bodies, and where less of it is enough (section 4 of the model, rule 5).

use super::{CLEAR_M, Clearance};
use crate::geometry::{Path, keeps_off_prism_by};
use crate::math::{DVec3, tolerance};
use crate::model::{Body, Configuration, Deck, GroundId, ModuleId, Problem};
use crate::travel::Waypoint;

/// The clearance that drives keep, and what they may leave out of it.
#[derive(Clone, Debug)]
pub(super) struct Wide<'a> {
    pub(super) clearance: Clearance<'a>,
    problem: &'a Problem,
    others: &'a Configuration,
    mover: ModuleId,
    host: Body,
    /// Whether others stand on the mover: then nothing is left out.
    pub(super) carries: bool,
    /// The other grounds that come near to the face.
    near: Vec<GroundId>,
}

impl<'a> Wide<'a> {
    pub(super) fn new(
        clearance: Clearance<'a>,
        problem: &'a Problem,
        others: &'a Configuration,
        mover: ModuleId,
        host: Body,
        carries: bool,
    ) -> Self {
        let comes_near =
            |deck: &Deck| clearance.solids.iter().any(|solid| std::ptr::eq(solid.prism, &deck.solid));
        let near = problem.ground_ids().filter(|ground| {
            // On a shell some solids are caps.
            Body::Ground(*ground) != host
                && (host.module().is_some() || problem.decks_of(*ground).any(comes_near))
        });
        let near = near.collect();
        Self { clearance, problem, others, mover, host, carries, near }
    }
}

impl Wide<'_> {
    /// Whether a free drive, where it touches or hops at an end, keeps the least gap that it has to that body there.
    pub(super) fn is_left_out(&self, from: DVec3, to: &Waypoint) -> bool {
        let centre = self.host.module().map(|host| self.others.get(host).position);
        let Some(sweep) = to.sweep_from(from, centre) else { return true };
        let path = sweep.path_of(from);
        let (problem, radius) = (self.problem, self.problem.kind(self.mover).shell_radius_m);
        let wanted = problem.limits.clearance_m;
        let ends = [from, to.position];
        let others = self.others.iter().filter(|(id, _)| *id != self.mover && Body::Module(*id) != self.host);
        let keeps_off_shells = others.into_iter().all(|(id, other)| {
            let radii = radius + problem.kind(id).shell_radius_m;
            let stands = problem.kind(self.mover).standing_distance(problem.kind(id)) - radii;
            let gap = |p: DVec3| p.distance(other.position) - radii;
            let asked = self.least(ends.map(gap), stands, starts_at(problem, id, other.position), from);
            path.least_distance_to_point(other.position).0 - radii >= asked.min(wanted) - CLEAR_M
        });
        // Grounds that do not come near to the face are kept off in any case.
        keeps_off_shells
            && self.near.iter().all(|&ground| {
                let gap = |p: DVec3| problem.distance_to_ground(ground, p) - radius;
                let stands = problem.kind(self.mover).ride_height_m - radius;
                let least = self.least(ends.map(gap), stands, true, from);
                let wanted = |part: &Path| wanted + problem.ground(ground).beyond_m(part);
                let keep = |part: &Path| radius + least.min(wanted(part)) - CLEAR_M;
                let most = keep(&path);
                problem.decks_of(ground).all(|deck| {
                    deck.solid.bounds().is_far_from(&path, most)
                        || keeps_off_prism_by(&path, &deck.solid, &keep)
                })
            })
    }

    /// The least of the gaps at both ends of a drive that count: where the two touch, where the mover can hop to the other, and where the plan begins.
    fn least(&self, gaps: [f64; 2], stands: f64, other_is_at_start: bool, from: DVec3) -> f64 {
        let begins = other_is_at_start && starts_at(self.problem, self.mover, from);
        let counts = |(end, gap): (usize, &f64)| {
            gap.abs() <= self.problem.limits.touch_tol_m
                || (gap - stands).abs() <= tolerance::LENGTH_M
                || (begins && end == 0)
        };
        let counted = gaps.iter().enumerate().filter(|(end, gap)| counts((*end, gap)));
        counted.map(|(_, gap)| *gap).fold(f64::INFINITY, f64::min)
    }
}

/// Whether a module is at a place where the plan begins. A part of a crew that is looked at alone has no such place.
fn starts_at(problem: &Problem, id: ModuleId, position: DVec3) -> bool {
    id.index() < problem.start.len() && problem.start.get(id).position == position
}
