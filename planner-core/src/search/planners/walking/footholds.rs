//! Footholds: the strides that lead on from where a machine sits, over the decks that there are. Loads and ways are not looked at here.
//!
//! A stride needs all ends equally far ahead of and below their hosts. The tops under them differ in height, so a leg's host goes up or down on its
//! base until it is as far above its end's top as the others are above theirs; it may also go round its base to where a top is. Of more than three
//! legs some may be in the air.

use super::machine::{Leg, Machine};
use crate::control::{Budget, Stopped};
use crate::geometry::{Path, keeps_off_prism, least_inset};
use crate::math::{DQuat, DVec2, DVec3, atan2, heading_frame, sin_cos, tolerance};
use crate::model::{Configuration, Ground, GroundId, ModuleId, Problem};
use crate::motion::{Move, Planted, Stretch};
use crate::travel::Trip;
use indexmap::IndexMap;

/// Before a stride ends are ahead of their hosts by so many radii at least, and by more in steps of so many.
const BACK_RADII: [f64; 2] = [0.1, 0.06];
/// So many radii below their hosts, besides where some are already.
const BELOW_RADII: [f64; 4] = [0.4, 0.55, 0.7, 0.3];
/// Most heights of hosts that are taken as they are.
const GIVEN: usize = 6;
/// Heights are one within this, in metres: planted modules stand alike to their hosts.
const SAME_HEIGHT_M: f64 = 1e-9;
/// Directions of strides against that of the goal, in degrees.
const AWAY_DEG: [f64; 13] = [0.0, 6.0, -6.0, 12.0, -12.0, 25.0, -25.0, 40.0, -40.0, 60.0, -60.0, 90.0, -90.0];
/// Hosts go round their bases to either side by up to so many steps, of so many degrees.
const ROUND: i32 = 9;
const ROUND_DEG: f64 = 5.5;
/// They stand no steeper on them than with this sine.
const STEEPEST: f64 = 0.7;
/// The foot of a host that goes up or down moves its end aside by less than this, in metres.
const ASIDE_M: f64 = 0.03;
/// Number of bisections of the last stride.
const BISECTIONS: usize = 60;
/// Most strides onto one ground that are kept, and that are found wanting.
const MOST: [usize; 2] = [40, 80];
/// The same for places nearer to each other than so many radii, and how many are looked at there.
const MOST_NEAR: [usize; 2] = [2, 12];
const NEAR_RADII: f64 = 0.2;
/// Most places of one leg that are tried with those of the others.
const MOST_PLACES: usize = 6;
/// Fewest planted legs.
const FEWEST: usize = 3;
/// Seen from the centre of mass, two planted ends are nowhere farther apart than this, in radians: else it lies beyond their support.
const WIDEST_RAD: f64 = 165.0 * std::f64::consts::PI / 180.0;
/// Where an end in the air is: so many degrees from its host's foot, in a vertical plane.
const RAISED_DEG: f64 = 80.0;

/// Where a leg stands when a stride begins.
#[derive(Clone, Copy, Debug)]
pub(super) struct Footing {
    pub(super) host: DVec3,
    pub(super) end: DVec3,
    /// Whether the host has to go there first.
    pub(super) is_set: bool,
    /// Whether the end is planted; else it is in the air, above its host.
    pub(super) plants: bool,
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

    /// The stride as a trip.
    pub(super) fn trip(&self, machine: &Machine) -> Trip {
        let planted = machine.legs.iter().zip(&self.legs).filter(|(_, footing)| footing.plants);
        let ends: Vec<_> = planted.map(|(leg, _)| leg.end).collect();
        let moves = Planted::new(&ends).map(|planted| Move::Stride {
            direction: self.ahead.truncate(),
            angle_rad: self.angle_rad,
            planted,
            to: self.to,
        });
        Trip::carrying(machine.hub, moves.into_iter().collect())
    }

    /// The machine when the stride begins, the stride, and the machine after it; `None` if it cannot be made.
    pub(super) fn made(
        &self,
        problem: &Problem,
        machine: &Machine,
        now: &Configuration,
    ) -> Option<(Configuration, Move, Configuration)> {
        let mut there = now.clone();
        for (leg, footing) in machine.legs.iter().zip(&self.legs) {
            let base = there.get(leg.base).position;
            let host = there.get_mut(leg.host);
            if footing.is_set {
                let up = (footing.host - base).normalize();
                host.orientation = heading_frame(up, up.any_orthogonal_vector())?;
                host.position = footing.host;
            }
            let up = (footing.end - footing.host).normalize();
            let end = there.get_mut(leg.end);
            end.position = footing.end;
            end.orientation = heading_frame(up, up.cross(DVec3::Z.cross(self.ahead)))?;
        }
        let trip = self.trip(machine);
        let ready = trip.released(&there);
        let (action, after) = trip.moves(problem, &ready).ok()?.pop()?;
        Some((ready, action, after))
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
    pub(super) budget: &'a Budget<'a>,
}

impl Footholds<'_> {
    /// Strides onto each ground in reach that are clear of all bodies, those that lead nearest to the goal, and first one that ends exactly there; and
    /// how many were found not to be clear.
    pub(super) fn strides(&self) -> Result<(Vec<Foothold>, usize), Stopped> {
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
        // So many onto each ground: kept, and not clear or not balanced.
        let mut onto = vec![[0_usize; 2]; self.problem.grounds.len()];
        // So many onto each place: kept, and looked at.
        let mut near: IndexMap<(GroundId, [i64; 2]), [usize; 2]> = IndexMap::new();
        let mut kept = Vec::new();
        for stride in found {
            let counts = &mut onto[stride.to.index()];
            let cell = stride.lands / (NEAR_RADII * self.machine.radius_m);
            let here = near.entry((stride.to, cell.to_array().map(|v| v.round() as i64))).or_default();
            if (0..2).any(|k| counts[k] >= MOST[k] || here[k] >= MOST_NEAR[k]) {
                continue;
            }
            self.budget.go_on()?;
            here[1] += 1;
            if let Some(foothold) = self.with_legs(stride) {
                let fits = self.is_clear(&foothold);
                counts[usize::from(!fits)] += 1;
                here[0] += usize::from(fits);
                kept.extend(fits.then_some(foothold));
            }
        }
        Ok((kept, onto.iter().map(|counts| counts[1]).sum()))
    }

    /// Whether the machine is clear of all bodies over a stride, its foot too, and its centre of mass over its support at both ends.
    fn is_clear(&self, foothold: &Foothold) -> bool {
        let (problem, machine) = (self.problem, self.machine);
        foothold.made(problem, machine, self.now).is_some_and(|(ready, action, after)| {
            [&ready, &after].into_iter().all(|there| self.is_balanced(foothold, there))
                && Stretch::of_move(problem, &ready, machine.hub, &action, &after).is_clear()
        })
    }

    fn is_balanced(&self, foothold: &Foothold, there: &Configuration) -> bool {
        let problem = self.problem;
        let (mass_kg, moment) = there.iter().fold((0.0, DVec3::ZERO), |(mass_kg, moment), (id, place)| {
            let own_kg = problem.mass_kg(id);
            (mass_kg + own_kg, moment + place.position * own_kg)
        });
        let centre = (moment / mass_kg).truncate();
        let planted = self.machine.legs.iter().zip(&foothold.legs).filter(|(_, footing)| footing.plants);
        let mut ways: Vec<f64> = planted
            .map(|(leg, _)| there.get(leg.end).position.truncate() - centre)
            .map(|way| atan2(way.y, way.x))
            .collect();
        ways.sort_by(f64::total_cmp);
        let around = ways.first().map(|first| first + std::f64::consts::TAU);
        ways.iter().zip(ways.iter().skip(1).chain(&around)).all(|(a, b)| b - a < WIDEST_RAD)
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
            let middle = middle(ground);
            let step = middle - here;
            if ground.outline.inset(middle) >= foot_m && step.length() < most_m && step.dot(way) > 0.0 {
                found.extend(step.try_normalize().map(|step| step.extend(0.0)));
            }
        }
        found
    }

    /// How far ends may be below their hosts: as far as a host that cannot be set, or most others, are above a top already, and some fixed numbers of
    /// radii.
    fn belows(&self) -> Vec<f64> {
        let mut given: Vec<(f64, usize)> = Vec::new();
        for leg in &self.machine.legs {
            let host = self.now.get(leg.host).position;
            let host_m = host.z - self.machine.radius_m;
            let near = |ground: &&Ground| ground.plane.is_level() && ground.inset(host) > -leg.end_m;
            // One that has no choice counts like many.
            let weight = if leg.may_set { 1 } else { self.machine.legs.len() };
            let mut own: Vec<f64> = Vec::new();
            for ground in self.problem.grounds.iter().filter(near) {
                let below_m = host_m - ground.height_m();
                let is_new = own.iter().all(|known| (known - below_m).abs() > SAME_HEIGHT_M);
                if below_m > 0.0 && below_m < leg.end_m && is_new {
                    own.push(below_m);
                }
            }
            for below_m in own {
                match given.iter_mut().find(|(known, _)| (known - below_m).abs() < SAME_HEIGHT_M) {
                    Some((_, count)) => *count += weight,
                    None => given.push((below_m, weight)),
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
        (is_near(onto, lands, 0.0) && onto.outline.inset(lands) >= kind.foot_radius_m).then_some(Stride {
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

    /// Places for all legs that are clear of each other.
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
        let mut may_rise = machine.legs.len() - FEWEST;
        let mut places: Vec<Vec<Footing>> = Vec::new();
        for leg in &machine.legs {
            let own = self.footings(leg, &foothold);
            if own.is_empty() {
                may_rise = may_rise.checked_sub(1)?;
            }
            places.push(own);
        }
        self.add_legs(&mut foothold, &mut taken, &places, may_rise).then_some(foothold)
    }

    /// Adds places for the other legs, of which so many may be in the air besides those without a place; `false` with nothing added if there are none.
    fn add_legs(
        &self,
        foothold: &mut Foothold,
        taken: &mut Vec<(DVec3, f64)>,
        places: &[Vec<Footing>],
        may_rise: usize,
    ) -> bool {
        let number = foothold.legs.len();
        let Some(leg) = self.machine.legs.get(number) else { return true };
        let radii = [leg.host, leg.end].map(|id| self.problem.kind(id).shell_radius_m);
        let bodies = |footing: &Footing| [footing.host, footing.end].into_iter().zip(radii);
        let rises = places[number].is_empty();
        let raised = (rises || may_rise > 0).then(|| self.raised(leg)).flatten();
        for footing in places[number].iter().copied().chain(raised) {
            let is_clear = bodies(&footing).all(|(at, radius_m)| {
                let least_m = radius_m - tolerance::LENGTH_M;
                taken.iter().all(|&(other, other_m)| at.distance(other) > least_m + other_m)
            });
            if !is_clear {
                continue;
            }
            let before = taken.len();
            foothold.legs.push(footing);
            taken.extend(bodies(&footing));
            let left = may_rise - usize::from(!footing.plants && !rises);
            if self.add_legs(foothold, taken, places, left) {
                return true;
            }
            foothold.legs.truncate(number);
            taken.truncate(before);
        }
        false
    }

    /// A leg in the air, with its host where it is: as it is if its end is no lower than its host, else with its end above it.
    fn raised(&self, leg: &Leg) -> Option<Footing> {
        let [host, end] = [leg.host, leg.end].map(|id| self.now.get(id).position);
        let up = self.now.get(leg.host).up();
        let above = above(up, RAISED_DEG)?;
        let end = if end.z >= host.z { end } else { host + above * leg.end_m };
        Some(Footing { host, end, is_set: false, plants: false })
    }

    /// Places of a leg: with its host where it is, and else where that goes least far.
    fn footings(&self, leg: &Leg, foothold: &Foothold) -> Vec<Footing> {
        let mut found = Vec::new();
        if leg.end_m.powi(2) <= foothold.back_m.powi(2) + foothold.below_m.powi(2) {
            return found;
        }
        let (host, base) = (self.now.get(leg.host).position, self.now.get(leg.base).position);
        let off = (host - self.hub()).dot(DVec3::Z.cross(foothold.ahead));
        let outward = if off >= 0.0 { 1.0 } else { -1.0 };
        let radius_m = self.machine.radius_m;
        let stands = |host: DVec3, side: f64, ground: &Ground, is_set: bool| {
            let end = foothold.end_beside(leg, host, side);
            let footing = Footing { host, end, is_set, plants: true };
            self.rolls_on(end, foothold, ground).then_some(footing)
        };
        let top_m = host.z - foothold.below_m - radius_m;
        for side in [outward, -outward] {
            let alike = |ground: &&Ground| (ground.height_m() - top_m).abs() < SAME_HEIGHT_M;
            let grounds = self.problem.grounds.iter().filter(alike);
            found.extend(grounds.filter_map(|ground| stands(host, side, ground, false)));
        }
        let arm = (host - base).truncate();
        let Some(level) = arm.try_normalize().filter(|_| leg.may_set) else { return found };
        let asked = |ground: &Ground, degrees: f64| {
            let up_m = ground.height_m() + radius_m + foothold.below_m - base.z;
            let sine = up_m / leg.host_m;
            let level_m = leg.host_m * (1.0 - sine * sine).max(0.0).sqrt();
            let way = DVec2::from(turn(degrees)).rotate(level);
            (sine.abs() <= STEEPEST).then(|| base + (way * level_m).extend(up_m))
        };
        let rounds = (0..=ROUND).flat_map(|step| [step, -step]).skip(1);
        for degrees in rounds.map(|step| f64::from(step) * ROUND_DEG) {
            let about = DVec2::from(turn(degrees)).rotate(arm).extend(host.z - base.z) + base;
            for side in [outward, -outward] {
                let near = foothold.end_beside(leg, about, side).truncate();
                for ground in self.problem.grounds.iter().filter(|ground| ground.plane.is_level()) {
                    if found.len() >= MOST_PLACES {
                        return found;
                    }
                    if is_near(ground, near, ASIDE_M)
                        && ground.outline.inset(near) > -ASIDE_M
                        && let Some(host) = asked(ground, degrees)
                    {
                        found.extend(stands(host, side, ground, true));
                    }
                }
            }
        }
        found
    }

    /// Whether an end can roll over a ground, clear of all decks.
    fn rolls_on(&self, end: DVec3, foothold: &Foothold, ground: &Ground) -> bool {
        if !ground.plane.is_level()
            || ground.surfacing.relief_m > 0.0
            || !is_near(ground, end.truncate(), 0.0)
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

/// The mean of a ground's corners, seen from above.
pub(super) fn middle(ground: &Ground) -> DVec2 {
    let (sum, count) = ground.outline.corners().fold((DVec2::ZERO, 0.0), |(s, n), c| (s + c, n + 1.0));
    sum / f64::max(count, 1.0)
}

/// Whether a point is within so many metres of the box around a level ground: much quicker than its distance from the outline.
fn is_near(ground: &Ground, at: DVec2, within_m: f64) -> bool {
    let [low, high] = ground
        .outline
        .corners()
        .fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[low, high], c| [low.min(c), high.max(c)]);
    at.cmpge(low - within_m).all() && at.cmple(high + within_m).all()
}

/// The direction on a shell so many degrees from the foot of a module whose body z this is, in a vertical plane and upwards.
pub(super) fn above(up: DVec3, degrees: f64) -> Option<DVec3> {
    let upright = (DVec3::Z - up * up.z).try_normalize()?;
    Some(DQuat::from_axis_angle(up.cross(upright), std::f64::consts::PI - degrees.to_radians()) * up)
}

/// Cosine and sine of an angle in degrees.
fn turn(degrees: f64) -> [f64; 2] {
    let (sin, cos) = sin_cos(degrees.to_radians());
    [cos, sin]
}
