//! Footholds: the strides that lead on from where a machine sits, over the decks that there are. Loads and ways are not looked at here.
//!
//! A stride needs all ends equally far ahead of and below their hosts. The tops under them differ in height, so a leg's host goes up or down on its
//! base until it is as far above its end's top as the others are above theirs; it may also go round its base to where a top is.

use super::machine::{Leg, Machine};
use crate::geometry::{Path, keeps_off_prism, least_inset};
use crate::math::{DVec2, DVec3, atan2, sin_cos, tolerance};
use crate::model::{Configuration, Ground, GroundId, ModuleId, Problem};

/// Before a stride ends are ahead of their hosts by so many radii at least, and by more in steps of so many.
const BACK_RADII: [f64; 2] = [0.1, 0.04];
/// So many radii below their hosts, besides where some are already.
const BELOW_RADII: [f64; 4] = [0.4, 0.55, 0.7, 0.3];
/// Most heights of hosts that are taken as they are.
const GIVEN: usize = 3;
/// Heights are one within this, in metres: planted modules stand alike to their hosts.
const SAME_HEIGHT_M: f64 = 1e-9;
/// Directions of strides against that of the goal, in degrees.
const AWAY_DEG: [f64; 11] = [0.0, 12.0, -12.0, 25.0, -25.0, 40.0, -40.0, 60.0, -60.0, 90.0, -90.0];
/// Hosts go round their bases by so much, in degrees.
const ROUND_DEG: [f64; 11] = [0.0, 6.0, -6.0, 12.0, -12.0, 18.0, -18.0, 24.0, -24.0, 30.0, -30.0];
/// They stand no steeper on them than with this sine.
const STEEPEST: f64 = 0.7;
/// The foot of a host that goes up or down moves its end aside by less than this, in metres.
const ASIDE_M: f64 = 0.03;
/// Number of bisections of the last stride.
const BISECTIONS: usize = 60;
/// Most strides onto one ground that are kept.
const MOST_ONTO_ONE: usize = 6;

/// Where a leg stands when a stride begins.
#[derive(Clone, Copy, Debug)]
pub(super) struct Footing {
    pub(super) host: DVec3,
    pub(super) end: DVec3,
    /// Whether the host has to go there first.
    pub(super) is_set: bool,
}

/// A stride, and where the legs stand when it begins.
#[derive(Clone, Debug)]
pub(super) struct Foothold {
    pub(super) ahead: DVec3,
    pub(super) angle_rad: f64,
    pub(super) back_m: f64,
    pub(super) below_m: f64,
    pub(super) to: GroundId,
    pub(super) lands: DVec2,
    pub(super) legs: Vec<Footing>,
}

impl Foothold {
    /// How many hosts have to go elsewhere first.
    pub(super) fn set(&self) -> usize {
        self.legs.iter().filter(|leg| leg.is_set).count()
    }

    /// Where an end stands, with its host where it really is.
    pub(super) fn end_beside(&self, leg: &Leg, host: DVec3, left_sign: f64) -> DVec3 {
        let aside_m = leg.end_m * leg.end_m - self.back_m * self.back_m - self.below_m * self.below_m;
        let left = DVec3::Z.cross(self.ahead) * (left_sign * aside_m.max(0.0).sqrt());
        host + self.ahead * self.back_m + left - DVec3::Z * self.below_m
    }
}

/// A stride without its legs.
#[derive(Clone, Copy)]
struct Stride {
    ahead: DVec3,
    back_m: f64,
    below_m: f64,
    to: GroundId,
    angle_rad: f64,
    lands: DVec2,
}

/// The strides from where a machine sits.
pub(super) struct Footholds<'a> {
    pub(super) problem: &'a Problem,
    pub(super) machine: &'a Machine,
    pub(super) now: &'a Configuration,
    pub(super) from: GroundId,
}

impl Footholds<'_> {
    /// Strides onto each ground in reach, those that lead nearest to the goal; and first one that ends exactly there.
    pub(super) fn strides(&self) -> Vec<Foothold> {
        let here = self.hub().truncate();
        let goal = self.machine.goal_at();
        let way = goal - here;
        let belows = self.belows();
        let mut found: Vec<Stride> = Vec::new();
        for &below_m in &belows {
            for ahead in self.directions() {
                let mut back_m = BACK_RADII[0] * self.machine.radius_m;
                while back_m < self.longest_m() {
                    found.extend(
                        self.problem.ground_ids().filter_map(|to| self.stride(ahead, back_m, below_m, to)),
                    );
                    back_m += BACK_RADII[1] * self.machine.radius_m;
                }
            }
        }
        found.sort_by(|a, b| a.lands.distance(goal).total_cmp(&b.lands.distance(goal)));
        if way.length() > tolerance::LENGTH_M {
            let ahead = way.normalize().extend(0.0);
            let last: Vec<Stride> =
                belows.iter().filter_map(|&below_m| self.last(ahead, way.length(), below_m)).collect();
            found.splice(0..0, last);
        }
        let mut onto = vec![0_usize; self.problem.grounds.len()];
        let mut kept = Vec::new();
        for stride in found {
            let count = &mut onto[stride.to.index()];
            if *count >= MOST_ONTO_ONE {
                continue;
            }
            if let Some(foothold) = self.with_legs(stride) {
                *count += 1;
                kept.push(foothold);
            }
        }
        kept
    }

    fn hub(&self) -> DVec3 {
        self.now.get(self.machine.hub).position
    }

    fn longest_m(&self) -> f64 {
        self.machine.legs.iter().map(|leg| leg.end_m).fold(0.0, f64::max)
    }

    /// Towards the goal and away from that, and to the middles of grounds that could be reached.
    fn directions(&self) -> Vec<DVec3> {
        let here = self.hub().truncate();
        let way = self.machine.goal_at() - here;
        let Some(way) = way.try_normalize() else { return Vec::new() };
        let turned = |degrees: f64| DVec2::from(turn(degrees)).rotate(way).extend(0.0);
        let mut found: Vec<DVec3> = AWAY_DEG.into_iter().map(turned).collect();
        let most_m = std::f64::consts::PI * self.machine.radius_m + 2.0 * self.longest_m();
        let foot_m = self.problem.kind(self.machine.hub).foot_radius_m;
        for ground in self.problem.grounds.iter().filter(|ground| ground.plane.is_level()) {
            let (sum, count) =
                ground.outline.corners().fold((DVec2::ZERO, 0.0), |(s, n), c| (s + c, n + 1.0));
            let middle = sum / f64::max(count, 1.0);
            let step = middle - here;
            if ground.outline.inset(middle) >= foot_m && step.length() < most_m && step.dot(way) > 0.0 {
                found.extend(step.try_normalize().map(|step| step.extend(0.0)));
            }
        }
        found
    }

    /// How far ends may be below their hosts: as far as most hosts are above a top already, and some fixed numbers of radii.
    fn belows(&self) -> Vec<f64> {
        let mut given: Vec<(f64, usize)> = Vec::new();
        for leg in &self.machine.legs {
            let host_m = self.now.get(leg.host).position.z - self.machine.radius_m;
            let mut own: Vec<f64> = Vec::new();
            for ground in self.problem.grounds.iter().filter(|ground| ground.plane.is_level()) {
                let below_m = host_m - ground.height_m();
                let is_new = own.iter().all(|known| (known - below_m).abs() > SAME_HEIGHT_M);
                if below_m > 0.0 && below_m < leg.end_m && is_new {
                    own.push(below_m);
                }
            }
            for below_m in own {
                match given.iter_mut().find(|(known, _)| (known - below_m).abs() < SAME_HEIGHT_M) {
                    Some((_, count)) => *count += 1,
                    None => given.push((below_m, 1)),
                }
            }
        }
        given.sort_by_key(|&(_, count)| std::cmp::Reverse(count));
        let given = given.into_iter().filter(|&(_, count)| count > 1).take(GIVEN).map(|(below_m, _)| below_m);
        given.chain(BELOW_RADII.map(|radii| radii * self.machine.radius_m)).collect()
    }

    /// A stride onto a ground, if the foot finds its place.
    fn stride(&self, ahead: DVec3, back_m: f64, below_m: f64, to: GroundId) -> Option<Stride> {
        let (problem, hub) = (self.problem, self.machine.hub);
        let (onto, kind) = (problem.ground(to), problem.kind(hub));
        if !onto.plane.is_level() || (onto.surfacing.ferrous && kind.magnet_force_n > 0.0) {
            return None;
        }
        let (far_m, angle_rad) = self.reaches(back_m, below_m, onto)?;
        let lands = self.hub().truncate() + ahead.truncate() * far_m;
        (onto.outline.inset(lands) >= kind.foot_radius_m).then_some(Stride {
            ahead,
            back_m,
            below_m,
            to,
            angle_rad,
            lands,
        })
    }

    /// How far a stride onto a ground leads, in metres, and its angle.
    fn reaches(&self, back_m: f64, below_m: f64, onto: &Ground) -> Option<(f64, f64)> {
        let after_m = below_m + onto.height_m() - self.problem.ground(self.from).height_m();
        let squared = back_m * back_m + below_m * below_m - after_m * after_m;
        if squared < 0.0 {
            return None;
        }
        let front_m = squared.sqrt();
        let angle_rad = atan2(front_m, after_m) + atan2(back_m, below_m);
        Some((self.machine.radius_m * angle_rad + front_m + back_m, angle_rad))
    }

    /// The stride that ends exactly at the goal.
    fn last(&self, ahead: DVec3, distance_m: f64, below_m: f64) -> Option<Stride> {
        let onto = self.problem.ground(self.machine.to);
        // Farther back leads farther on.
        let (mut low, mut high) = (0.0, self.longest_m());
        for _ in 0..BISECTIONS {
            let middle = 0.5 * (low + high);
            let far = self.reaches(middle, below_m, onto);
            if far.is_none_or(|(far_m, _)| far_m < distance_m) {
                low = middle;
            } else {
                high = middle;
            }
        }
        let found = self.stride(ahead, high, below_m, self.machine.to)?;
        (found.lands.distance(self.machine.goal_at()) < SAME_HEIGHT_M).then_some(found)
    }

    /// Places for all legs, each clear of those before it.
    fn with_legs(&self, stride: Stride) -> Option<Foothold> {
        let Stride { ahead, back_m, below_m, to, angle_rad, lands } = stride;
        let mut foothold = Foothold { ahead, angle_rad, back_m, below_m, to, lands, legs: Vec::new() };
        let machine = self.machine;
        let moves = |id: ModuleId| machine.legs.iter().any(|leg| leg.end == id || leg.host == id);
        let mut taken: Vec<(DVec3, f64)> = self
            .now
            .iter()
            .filter(|(id, _)| !moves(*id))
            .map(|(id, place)| (place.position, self.problem.kind(id).shell_radius_m))
            .collect();
        for leg in &machine.legs {
            let radii = [leg.host, leg.end].map(|id| self.problem.kind(id).shell_radius_m);
            let is_clear = |footing: &Footing| {
                [footing.host, footing.end].into_iter().zip(radii).all(|(at, radius_m)| {
                    taken.iter().all(|(other, other_m)| {
                        at.distance(*other) > radius_m + other_m - tolerance::LENGTH_M
                    })
                })
            };
            let footing = self.footing(leg, &foothold, is_clear)?;
            taken.extend([footing.host, footing.end].into_iter().zip(radii));
            foothold.legs.push(footing);
        }
        Some(foothold)
    }

    /// The first place of a leg that is clear: with its host where it is, or else where that goes least far.
    fn footing(
        &self,
        leg: &Leg,
        foothold: &Foothold,
        is_clear: impl Fn(&Footing) -> bool,
    ) -> Option<Footing> {
        if leg.end_m.powi(2) <= foothold.back_m.powi(2) + foothold.below_m.powi(2) {
            return None;
        }
        let (host, base) = (self.now.get(leg.host).position, self.now.get(leg.base).position);
        let off = (host - self.hub()).dot(DVec3::Z.cross(foothold.ahead));
        let outward = if off >= 0.0 { 1.0 } else { -1.0 };
        let radius_m = self.machine.radius_m;
        let stands = |host: DVec3, side: f64, ground: &Ground, is_set: bool| {
            let end = foothold.end_beside(leg, host, side);
            let footing = Footing { host, end, is_set };
            (self.rolls_on(end, foothold, ground) && is_clear(&footing)).then_some(footing)
        };
        let top_m = host.z - foothold.below_m - radius_m;
        for side in [outward, -outward] {
            for ground in self.problem.grounds.iter() {
                if (ground.height_m() - top_m).abs() < SAME_HEIGHT_M
                    && let Some(footing) = stands(host, side, ground, false)
                {
                    return Some(footing);
                }
            }
        }
        if !leg.may_set {
            return None;
        }
        let arm = (host - base).truncate();
        let level = arm.try_normalize()?;
        let asked = |ground: &Ground, degrees: f64| {
            let up_m = ground.height_m() + radius_m + foothold.below_m - base.z;
            let sine = up_m / leg.host_m;
            let level_m = leg.host_m * (1.0 - sine * sine).max(0.0).sqrt();
            let way = DVec2::from(turn(degrees)).rotate(level);
            (sine.abs() <= STEEPEST).then(|| base + (way * level_m).extend(up_m))
        };
        for degrees in ROUND_DEG {
            let about = DVec2::from(turn(degrees)).rotate(arm).extend(host.z - base.z) + base;
            for side in [outward, -outward] {
                let near = foothold.end_beside(leg, about, side).truncate();
                for ground in self.problem.grounds.iter().filter(|ground| ground.plane.is_level()) {
                    if ground.outline.inset(near) > -ASIDE_M
                        && let Some(host) = asked(ground, degrees)
                        && let Some(footing) = stands(host, side, ground, true)
                    {
                        return Some(footing);
                    }
                }
            }
        }
        None
    }

    /// Whether an end can roll over a ground, clear of all decks.
    fn rolls_on(&self, end: DVec3, foothold: &Foothold, ground: &Ground) -> bool {
        if !ground.plane.is_level()
            || ground.surfacing.relief_m > 0.0
            || ground.outline.inset(end.truncate()) < tolerance::LENGTH_M
        {
            return false;
        }
        let step = foothold.ahead * (self.machine.radius_m * foothold.angle_rad);
        let way = Path::Line { from: end, step };
        let keep_m = self.machine.radius_m - 0.5 * tolerance::LENGTH_M;
        ground.outline.inset((end + step).truncate()) >= tolerance::LENGTH_M
            && least_inset(&way, &ground.outline, tolerance::LENGTH_M)
                .is_none_or(|(inset_m, _)| inset_m >= tolerance::LENGTH_M)
            && self.problem.decks.iter().all(|deck| {
                deck.solid.top_range()[1] <= ground.height_m() || keeps_off_prism(&way, &deck.solid, keep_m)
            })
    }
}

/// Cosine and sine of an angle in degrees.
fn turn(degrees: f64) -> [f64; 2] {
    let (sin, cos) = sin_cos(degrees.to_radians());
    [cos, sin]
}
