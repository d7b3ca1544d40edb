//! Gaps, reach and outline over a stretch: exact extremes, without sampling.

use super::stretch::Hopping;
use super::{Fault, Stretch};
use crate::geometry::{
    Path, Sweep, keeps_off_prism_by, least_distance_between, least_distance_to_prism, least_inset,
};
use crate::math::{Wave, acos, tolerance};
use crate::model::{Body, GroundId, ModuleId, Placement, Problem};

/// The least free gap between a moving module and another body over a stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// The module that moves.
    pub module: ModuleId,
    /// The other body.
    pub other: Body,
    /// Free distance between the surfaces, in metres.
    pub gap_m: f64,
    /// The fraction of the stretch at which it is reached.
    pub share: f64,
}

impl Stretch<'_> {
    /// Calls `visit` with the least gap of every pair of which at least one moves and whose gap may be below `below`; ends early when `visit` returns
    /// `false`. Pairs that keep their distance (a mover and its host, members of one group) are omitted, and so are hopping modules.
    pub(crate) fn visit_gaps(&self, below: f64, mut visit: impl FnMut(Gap) -> bool) {
        for (index, group) in self.groups.iter().enumerate() {
            for &module in &group.members {
                let path = group.sweep.path_of(self.start.get(module).position);
                let radius = self.problem.kind(module).shell_radius_m;
                let host = (module == group.mover).then(|| self.start.get(module).host);
                let new_host = self.crossing(module).map(|hop| hop.after.host);
                for ground in self.problem.ground_ids() {
                    let is_host = [host, new_host].contains(&Some(Body::Ground(ground)));
                    if is_host {
                        continue;
                    }
                    let near = self
                        .problem
                        .decks_of(ground)
                        .filter_map(|deck| least_distance_to_prism(&path, &deck.solid, below + radius));
                    let Some((distance, t)) = near.min_by(|a, b| a.0.total_cmp(&b.0)) else { continue };
                    let gap = Gap {
                        module,
                        other: Body::Ground(ground),
                        gap_m: distance - radius,
                        share: t / path.span(),
                    };
                    if gap.gap_m < below && !visit(gap) {
                        return;
                    }
                }
                for (id, stone) in self.problem.stone_ids().zip(&self.problem.stones) {
                    let (distance, t) = path.least_distance_to_point(stone.centre);
                    let share = if path.span() == 0.0 { 0.0 } else { t / path.span() };
                    let gap_m = distance - stone.radius_m - radius;
                    if gap_m < below && !visit(Gap { module, other: Body::Stone(id), gap_m, share }) {
                        return;
                    }
                }
                for (other, beside) in self.start.iter() {
                    let their_group = self.group_of(other);
                    let rolls_with = |other: usize| self.groups[other - 1].mover == group.mover;
                    if their_group == index + 1
                        || (their_group > 0 && rolls_with(their_group) && self.start.bonded(module, other))
                        || host == Some(Body::Module(other))
                        || (their_group > 0 && their_group <= index)
                    {
                        continue;
                    }
                    let radii = radius + self.problem.kind(other).shell_radius_m;
                    let (distance, share) = if their_group == 0 {
                        let far = (path.at(0.5 * path.span()) - beside.position).length()
                            - path.reach_from_middle();
                        if far - radii >= below {
                            continue;
                        }
                        let (distance, t) = path.least_distance_to_point(beside.position);
                        (distance, if path.span() == 0.0 { 0.0 } else { t / path.span() })
                    } else {
                        let theirs = self.groups[their_group - 1].sweep.path_of(beside.position);
                        least_distance_between(&path, &theirs)
                    };
                    let gap = Gap { module, other: Body::Module(other), gap_m: distance - radii, share };
                    if gap.gap_m < below && !visit(gap) {
                        return;
                    }
                }
            }
        }
    }

    /// Overlaps on the way, and feet that leave their deck or their reach, each with the fraction of the stretch at which it is worst.
    #[must_use]
    pub fn clearance_faults(&self) -> Vec<(Fault, f64)> {
        let mut faults = Vec::new();
        self.visit_gaps(-tolerance::LENGTH_M, |gap| {
            faults
                .push((Fault::Overlap { module: gap.module, other: gap.other, gap_m: gap.gap_m }, gap.share));
            true
        });
        faults.extend(self.groups.iter().filter_map(|group| self.stance_fault(group.mover)));
        for hop in &self.hops {
            let mut after = self.start.clone();
            *after.get_mut(hop.mover) = hop.after;
            faults.extend(super::rest::stance_fault(self.problem, &after, hop.mover).map(|f| (f, 1.0)));
        }
        faults
    }

    /// Whether a whole move keeps the clearance asked for, or where the pair touches at one of its ends, the gap that it has there.
    #[must_use]
    pub(crate) fn keeps_clearance(&self) -> bool {
        let problem = self.problem;
        if !problem.asks_for_clearance() || self.groups.is_empty() {
            return true;
        }
        let (begin, end) = (&self.start, self.at(1.0));
        let mut kept = true;
        let path_of = |module: ModuleId| {
            let group = self.groups.iter().find(|group| group.members.contains(&module));
            group.map(|group| group.sweep.path_of(begin.get(module).position))
        };
        let rough_m = |module: ModuleId, ground: GroundId| {
            path_of(module).map_or(0.0, |path| problem.ground(ground).beyond_m(&path))
        };
        let movers = || self.groups.iter().flat_map(|group| &group.members);
        let roughest = movers().flat_map(|&m| problem.ground_ids().map(move |g| (m, g)));
        let most = problem.limits.clearance_m + roughest.map(|(m, g)| rough_m(m, g)).fold(0.0, f64::max);
        self.visit_gaps(most, |gap| {
            let beyond = gap.other.ground().map_or(0.0, |ground| rough_m(gap.module, ground));
            let wanted = problem.limits.clearance_m + beyond;
            if gap.gap_m >= wanted {
                return true;
            }
            let ends = [begin, &end].map(|crew| super::gap_between(problem, crew, gap.module, gap.other));
            let is_at_start = |body: Body| {
                body.module().is_none_or(|m| begin.get(m).position == problem.start.get(m).position)
            };
            let begins = is_at_start(Body::Module(gap.module)) && is_at_start(gap.other);
            let counts = |(end, gap_m): &(usize, f64)| {
                gap_m.abs() <= problem.limits.touch_tol_m || (begins && *end == 0)
            };
            let counted = ends.into_iter().enumerate().filter(counts).map(|(_, gap_m)| gap_m);
            let least = counted.fold(f64::INFINITY, f64::min);
            kept = gap.gap_m >= least.min(wanted) - tolerance::LENGTH_M
                || gap.other.ground().is_some_and(|ground| {
                    // From rough ground less is wanted where the path is lower.
                    let rough = problem.ground(ground);
                    let radius = problem.kind(gap.module).shell_radius_m - tolerance::LENGTH_M;
                    let keep =
                        |part: &Path| radius + least.min(problem.limits.clearance_m + rough.beyond_m(part));
                    let path = path_of(gap.module).filter(|_| rough.surfacing.tilt_rad > 0.0);
                    path.is_some_and(|path| {
                        problem.decks_of(ground).all(|deck| keeps_off_prism_by(&path, &deck.solid, &keep))
                    })
                });
            kept
        });
        kept
    }

    /// Whether nothing overlaps on the way and every foot stays within its limits; stops at the first fault.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        let mut clear = true;
        self.visit_gaps(-tolerance::LENGTH_M, |_| {
            clear = false;
            false
        });
        clear
            && self.groups.iter().all(|group| self.stance_fault(group.mover).is_none())
            && self.hops.iter().all(|hop| {
                let mut after = self.start.clone();
                *after.get_mut(hop.mover) = hop.after;
                super::rest::stance_fault(self.problem, &after, hop.mover).is_none()
            })
    }

    /// The end of a cross that a module makes.
    fn crossing(&self, module: ModuleId) -> Option<&Hopping> {
        let is_crossing = |hop: &&Hopping| hop.mover == module && self.group_of(module) > 0;
        self.hops.iter().find(is_crossing)
    }

    /// A mover's foot on its deck or on its host's shell, worst over the stretch.
    fn stance_fault(&self, mover: ModuleId) -> Option<(Fault, f64)> {
        let group = self.groups.iter().find(|g| g.mover == mover && self.crossing(g.mover).is_none())?;
        if self.lifted.contains(&mover) {
            let rolling = self.groups.iter().filter(|g| g.rolls && g.mover == mover);
            return rolling.flat_map(|g| &g.members).find_map(|&id| {
                let place = self.start.get(id);
                let host = self.start.get(place.host.module()?);
                rolling_reach_fault(self.problem, (id, place), host, &group.sweep)
            });
        }
        let place = self.start.get(mover);
        let host = place.host.module().map(|host| self.start.get(host));
        stance_fault_over(self.problem, mover, place, &group.sweep, host)
    }
}

/// The foot of a planted module on its host, worst over a stride, whose machine moves so.
pub(crate) fn rolling_reach_fault(
    problem: &Problem,
    (planted, place): (ModuleId, &Placement),
    host: &Placement,
    machine: &Sweep,
) -> Option<(Fault, f64)> {
    let Sweep::Ride { axis, angle, .. } = *machine else { return None };
    // The host does not turn, and its foot goes round it.
    let round = Sweep::Turn { point: host.position, axis, angle };
    stance_fault_over(problem, planted, place, &round, Some(host))
}

/// A foot on its deck, or on the shell of a host that stands there, worst over a motion, with the fraction at which it is worst.
pub(crate) fn stance_fault_over(
    problem: &Problem,
    mover: ModuleId,
    place: &Placement,
    sweep: &Sweep,
    host: Option<&Placement>,
) -> Option<(Fault, f64)> {
    let path = sweep.path_of(place.position);
    match (place.host, host) {
        (Body::Ground(ground), _) => {
            let foot_m = problem.kind(mover).foot_radius_m;
            let ground = problem.ground(ground);
            let seen = path.in_frame(&ground.plane);
            let (inset_m, t) = least_inset(&seen, &ground.outline, foot_m - tolerance::LENGTH_M)?;
            let share = if path.span() == 0.0 { 0.0 } else { t / path.span() };
            (inset_m < foot_m - tolerance::LENGTH_M)
                .then_some((Fault::Outline { module: mover, deck: place.host, inset_m, foot_m }, share))
        }
        (Body::Module(id), Some(below)) => {
            let Path::Arc { centre, cosine, sine, span } = path else { return None };
            let up = below.up();
            let wave = Wave::new((centre - below.position).dot(up), cosine.dot(up), sine.dot(up));
            let distance = place.position.distance(below.position);
            let limit_rad = problem.kind(id).shell_reach_rad;
            let (least, t) = least_of(wave, span);
            let angle_rad = acos((least / distance).clamp(-1.0, 1.0));
            (angle_rad > limit_rad + tolerance::ANGLE_RAD).then_some((
                Fault::Reach { module: mover, host: place.host, angle_rad, limit_rad },
                if span == 0.0 { 0.0 } else { t / span },
            ))
        }
        (Body::Module(_), None) | (Body::Stone(_), _) => None,
    }
}

fn least_of(wave: Wave, span: f64) -> (f64, f64) {
    let mut best = (wave.at(0.0), 0.0);
    for t in wave.stationary(span).chain([span]) {
        if wave.at(t) < best.0 {
            best = (wave.at(t), t);
        }
    }
    best
}
