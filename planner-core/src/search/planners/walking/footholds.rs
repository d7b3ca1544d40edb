//! Footholds: where the legs can stand for a stride, over the decks that there are. Loads and ways are not looked at here.
//!
//! A stride needs all ends equally far ahead of and below their hosts. The tops under them differ in height, so a leg's host goes up or down on its
//! base until it is as far above its end's top as the others are above theirs; it may also go round its base to where a top is. Of more than three
//! legs some may be in the air.

use super::machine::{Leg, Machine, Sets};
use super::places::Place;
use super::stance::{Stance, Stood};
use super::stride::{Step, Stride};
use super::tops::Tops;
use crate::math::{DQuat, DVec2, DVec3, heading_frame, sin_cos, tolerance};
use crate::model::{Configuration, Ground, ModuleId, Problem};
use crate::motion::{Move, Planted};
use crate::travel::Trip;

/// Ends are so many radii below their hosts before a stride, besides where some are already.
const BELOW_RADII: [f64; 4] = [0.4, 0.55, 0.7, 0.3];
/// Most heights of hosts that are taken as they are.
const GIVEN: usize = 6;
/// Heights are one within this, in metres: planted modules stand alike to their hosts.
const SAME_HEIGHT_M: f64 = 1e-9;
/// Hosts go round their bases to either side by up to so many steps, of so many degrees.
const ROUND: i32 = 9;
const ROUND_DEG: f64 = 5.5;
/// Places of a host differ by so many of them at least.
const SPREAD: i32 = 3;
/// They stand no steeper on them than with this sine.
const STEEPEST: f64 = 0.7;
/// The foot of a host that goes up or down moves its end aside by less than this, in radii.
const ASIDE_RADII: f64 = 0.5;
/// Most stances that are compared for one stride.
const MOST_STANCES: usize = 600;
/// Most footholds of one stride that are kept.
const MOST_KEPT: usize = 3;
/// Fewest planted legs.
const FEWEST: usize = 3;
/// Where an end in the air is: so many degrees from its host's foot, in a vertical plane.
const RAISED_DEG: f64 = 80.0;
/// Fractions of a stride at which legs are held against each other.
const SHARES: [f64; 3] = [0.0, 0.5, 1.0];
/// What it costs to set a host that carries its end, and one that goes bare, in strides.
const SET: f64 = 0.1;
const SET_BARE: f64 = 0.4;

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
    pub(super) stride: Stride,
    pub(super) legs: Vec<Footing>,
    /// What the setting of hosts costs, in strides.
    pub(super) setting: f64,
    /// An estimate of what is used of the bonds' holds.
    used: f64,
}

impl Foothold {
    /// The lower the better.
    fn rank(&self) -> f64 {
        self.setting + self.used
    }

    /// Whether the host of any of these legs has to go elsewhere first.
    pub(super) fn sets_any(&self, legs: &[usize]) -> bool {
        legs.iter().any(|&leg| self.legs[leg].is_set)
    }

    /// The stride as a trip.
    pub(super) fn trip(&self, machine: &Machine) -> Trip {
        let planted = machine.legs.iter().zip(&self.legs).filter(|(_, footing)| footing.plants);
        let ends: Vec<_> = planted.map(|(leg, _)| leg.end).collect();
        let moves = Planted::new(&ends).map(|planted| Move::Stride {
            direction: self.stride.ahead.truncate(),
            angle_rad: self.stride.angle_rad,
            planted,
            to: self.stride.to,
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
            end.orientation = heading_frame(up, up.cross(DVec3::Z.cross(self.stride.ahead)))?;
        }
        let trip = self.trip(machine);
        let ready = trip.released(&there);
        let (action, after) = trip.moves(problem, &ready).ok()?.pop()?;
        Some((ready, action, after))
    }

    /// Where an end stands, with its host where it really is: on the left or on the right.
    pub(super) fn end_beside(&self, leg: &Leg, host: DVec3, left_sign: f64) -> DVec3 {
        let aside_m = self.stride.aside_m(leg.end_m).unwrap_or_default();
        host + self.stride.end_off(left_sign * aside_m, 0.0)
    }
}

/// The strides from where a machine sits.
pub(super) struct Footholds<'a> {
    pub(super) problem: &'a Problem,
    pub(super) machine: &'a Machine,
    pub(super) tops: &'a Tops<'a>,
    pub(super) stance: &'a Stance,
    pub(super) now: &'a Configuration,
    /// How far ends may be below their hosts.
    belows: Vec<f64>,
}

/// A place of a leg, and the bodies that are there at some fractions of the stride, seen from the machine.
struct Choice {
    footing: Footing,
    ends: [DVec3; 3],
}

impl<'a> Footholds<'a> {
    pub(super) fn new(
        problem: &'a Problem,
        machine: &'a Machine,
        tops: &'a Tops<'a>,
        stance: &'a Stance,
        now: &'a Configuration,
    ) -> Self {
        let mut footholds = Self { problem, machine, tops, stance, now, belows: Vec::new() };
        footholds.belows = footholds.belows();
        footholds
    }

    /// The strides onto a place: of none or any, those that bear best first; and whether there is a stride without its legs.
    pub(super) fn onto(&self, place: &Place) -> (Vec<Foothold>, bool) {
        let (machine, here) = (self.machine, self.now.get(self.machine.hub).position);
        let rise_m =
            self.problem.ground(place.to).height_m() + self.problem.kind(machine.hub).ride_height_m - here.z;
        let longest_m = machine.legs.iter().map(|leg| leg.end_m).fold(0.0, f64::max);
        let step = Step { step: place.at - here.truncate(), rise_m, radius_m: machine.radius_m, longest_m };
        let Some(ahead) = step.step.try_normalize() else { return (Vec::new(), false) };
        let (mut found, mut reaches) = (Vec::new(), false);
        for &below_m in &self.belows {
            let Some((back_m, angle_rad)) = step.crank(below_m) else { continue };
            let rolls_m = machine.radius_m * angle_rad;
            let (to, ahead) = (place.to, ahead.extend(0.0));
            let stride = Stride { ahead, angle_rad, back_m, below_m, rolls_m, to };
            reaches = true;
            found.extend(self.stances(stride));
        }
        found.sort_by(|a: &Foothold, b| a.rank().total_cmp(&b.rank()));
        (found, reaches)
    }

    /// How far ends may be below their hosts: as far as a host that cannot be set, or most others, are above a top already, and some fixed numbers of
    /// radii.
    fn belows(&self) -> Vec<f64> {
        let mut given: Vec<(f64, usize)> = Vec::new();
        for leg in &self.machine.legs {
            let host = self.now.get(leg.host).position;
            let host_m = host.z - self.machine.radius_m;
            // One that has no choice, or not easily, counts like many.
            let weight = if leg.sets == Some(Sets::Carrying) { 1 } else { self.machine.legs.len() };
            let mut own: Vec<f64> = Vec::new();
            for (_, ground) in self.tops.near(host.truncate(), leg.end_m) {
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

    /// Stances for a stride in which legs are clear of each other and the centre of mass is over the planted ends, those that bear best first.
    fn stances(&self, stride: Stride) -> Vec<Foothold> {
        let machine = self.machine;
        let mut may_rise = machine.legs.len() - FEWEST;
        let mut choices: Vec<Vec<Choice>> = Vec::new();
        for leg in &machine.legs {
            let mut own = self.footings(leg, &stride);
            if own.is_empty() {
                let Some(left) = may_rise.checked_sub(1) else { return Vec::new() };
                may_rise = left;
            }
            if machine.legs.len() > FEWEST {
                own.extend(self.raised(leg));
            }
            choices.push(own);
        }
        let moves = |id: ModuleId| machine.legs.iter().any(|leg| leg.end == id || leg.host == id);
        let centres: Vec<DVec3> = self.now.iter().map(|(_, place)| place.position).collect();
        let fixed = self.problem.module_ids().filter(|id| !moves(*id)).collect();
        let mut comparison = Comparison {
            of: self,
            stride,
            choices,
            fixed,
            centres,
            chosen: Vec::new(),
            looked: 0,
            kept: Vec::new(),
        };
        comparison.add_legs();
        comparison.kept
    }

    /// A leg in the air, with its host where it is: as it is if its end is no lower than its host, else with its end above it.
    fn raised(&self, leg: &Leg) -> Option<Choice> {
        let [host, end] = [leg.host, leg.end].map(|id| self.now.get(id).position);
        let up = self.now.get(leg.host).up();
        let above = above(up, RAISED_DEG)?;
        let end = if end.z >= host.z { end } else { host + above * leg.end_m };
        Some(Choice { footing: Footing { host, end, is_set: false, plants: false }, ends: [end; 3] })
    }

    /// Places of a leg: with its host where it is, and on either side of it at places that differ.
    fn footings(&self, leg: &Leg, stride: &Stride) -> Vec<Choice> {
        let mut found = Vec::new();
        let Some(aside_m) = stride.aside_m(leg.end_m) else { return found };
        let (host, base) = (self.now.get(leg.host).position, self.now.get(leg.base).position);
        let radius_m = self.machine.radius_m;
        let stands = |host: DVec3, side: f64, ground: &Ground, is_set: bool| {
            let ends = SHARES.map(|share| host + stride.end_off(side * aside_m, share));
            let footing = Footing { host, end: ends[0], is_set, plants: true };
            let rolls = self.tops.roll(ground, ends[0], stride.rolls(), radius_m);
            rolls.then_some(Choice { footing, ends })
        };
        let top_m = host.z - stride.below_m - radius_m;
        let beside = |host: DVec3, side: f64| (host + stride.end_off(side * aside_m, 0.0)).truncate();
        for side in [1.0, -1.0] {
            for (_, ground) in self.tops.near(beside(host, side), 0.0) {
                if (ground.height_m() - top_m).abs() < SAME_HEIGHT_M {
                    found.extend(stands(host, side, ground, false));
                }
            }
        }
        let arm = (host - base).truncate();
        let Some(level) = arm.try_normalize().filter(|_| leg.sets.is_some()) else { return found };
        let asked = |ground: &Ground, degrees: f64| {
            let up_m = ground.height_m() + radius_m + stride.below_m - base.z;
            let sine = up_m / leg.host_m;
            let level_m = leg.host_m * (1.0 - sine * sine).max(0.0).sqrt();
            let way = DVec2::from(turn(degrees)).rotate(level);
            (sine.abs() <= STEEPEST).then(|| base + (way * level_m).extend(up_m))
        };
        for side in [1.0, -1.0] {
            let mut taken: Vec<i32> = Vec::new();
            for steps in (0..=ROUND).flat_map(|step| [step, -step]).skip(1) {
                if taken.iter().any(|other| (other - steps).abs() < SPREAD) {
                    continue;
                }
                let degrees = f64::from(steps) * ROUND_DEG;
                let about = DVec2::from(turn(degrees)).rotate(arm).extend(host.z - base.z) + base;
                let aside = ASIDE_RADII * radius_m;
                let choice = self.tops.near(beside(about, side), aside).find_map(|(_, ground)| {
                    asked(ground, degrees).and_then(|host| stands(host, side, ground, true))
                });
                if let Some(choice) = choice {
                    taken.push(steps);
                    found.push(choice);
                }
            }
        }
        found
    }
}

/// Stances for one stride: places of its legs, one after the other.
struct Comparison<'a> {
    of: &'a Footholds<'a>,
    stride: Stride,
    choices: Vec<Vec<Choice>>,
    /// Modules that move with the hub only.
    fixed: Vec<ModuleId>,
    centres: Vec<DVec3>,
    /// Numbers of the places of the first legs.
    chosen: Vec<usize>,
    looked: usize,
    kept: Vec<Foothold>,
}

impl Comparison<'_> {
    fn add_legs(&mut self) {
        let number = self.chosen.len();
        if number == self.choices.len() {
            self.compare();
            return;
        }
        for index in 0..self.choices[number].len() {
            if self.looked >= MOST_STANCES {
                return;
            }
            let rising =
                |number: usize, index: usize| usize::from(!self.choices[number][index].footing.plants);
            let risen: usize = self.chosen.iter().enumerate().map(|(leg, &index)| rising(leg, index)).sum();
            if risen + rising(number, index) + FEWEST <= self.choices.len() && self.is_clear(number, index) {
                self.chosen.push(index);
                self.add_legs();
                self.chosen.pop();
            }
        }
    }

    /// Whether a place of a leg is clear of the fixed modules and of the legs before it.
    fn is_clear(&self, number: usize, index: usize) -> bool {
        let (problem, legs) = (self.of.problem, &self.of.machine.legs);
        let radius_m = |id: ModuleId| problem.kind(id).shell_radius_m;
        let own = &self.choices[number][index];
        let leg = &legs[number];
        let apart = |a: DVec3, a_m: f64, b: DVec3, b_m: f64| a.distance(b) > a_m + b_m - tolerance::LENGTH_M;
        let [host_m, end_m] = [leg.host, leg.end].map(radius_m);
        let is_off = |at: DVec3, at_m: f64| {
            apart(own.footing.host, host_m, at, at_m)
                && own.ends.iter().all(|end| apart(*end, end_m, at, at_m))
        };
        self.fixed.iter().all(|&id| is_off(self.centres[id.index()], radius_m(id)))
            && self.chosen.iter().enumerate().all(|(before, &chosen)| {
                let (other, other_leg) = (&self.choices[before][chosen], &legs[before]);
                let [other_host_m, other_end_m] = [other_leg.host, other_leg.end].map(radius_m);
                let is_one = leg.host == other_leg.host;
                (is_one || is_off(other.footing.host, other_host_m))
                    && other.ends.iter().zip(&own.ends).all(|(theirs, ours)| {
                        apart(own.footing.host, host_m, *theirs, other_end_m)
                            && apart(*ours, end_m, *theirs, other_end_m)
                    })
            })
    }

    /// Keeps a stance if it is among the best.
    fn compare(&mut self) {
        self.looked += 1;
        let legs = &self.of.machine.legs;
        let mut planted: Vec<ModuleId> = Vec::new();
        let mut used = 0.0_f64;
        for instant in [0, SHARES.len() - 1] {
            planted.clear();
            for ((leg, &chosen), choices) in legs.iter().zip(&self.chosen).zip(&self.choices) {
                let choice = &choices[chosen];
                self.centres[leg.host.index()] = choice.footing.host;
                self.centres[leg.end.index()] = choice.ends[instant];
                planted.extend(choice.footing.plants.then_some(leg.end));
            }
            let stood = Stood { centres: &self.centres, planted: &planted };
            let Some(own) = self.of.stance.used(&stood) else { return };
            used = used.max(own);
        }
        let footings =
            self.chosen.iter().zip(&self.choices).map(|(&chosen, choices)| choices[chosen].footing);
        let footings: Vec<Footing> = footings.collect();
        let set = legs.iter().zip(&footings).filter(|(_, footing)| footing.is_set);
        let setting = set.map(|(leg, _)| if leg.sets == Some(Sets::Bare) { SET_BARE } else { SET }).sum();
        let foothold = Foothold { stride: self.stride, legs: footings, setting, used };
        let at = self.kept.partition_point(|other| other.rank() <= foothold.rank());
        self.kept.insert(at, foothold);
        self.kept.truncate(MOST_KEPT);
    }
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
