//! The drives of a sequence, independent of their order in time: places, paths, and the modules that take part.
//!
//! Two moves that share a module, or of which one moves a host of the other, keep their order in every schedule. So each module goes through the same
//! places in every schedule, and only its progress differs.

use super::ScheduleError;
use super::sequence::rolling;
use crate::geometry::{Path, Sweep, keep_apart};
use crate::math::{DVec3, tolerance};
use crate::model::{Body, ModuleId, Placement, Problem};
use crate::motion::{Move, apply, duration_at_s, sweeps_of};
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use std::cell::RefCell;

/// Least gap in metres that shells of concurrent drives keep from each other, unless they begin or end nearer.
pub(super) const ROOM_M: f64 = 1e-3;

/// A part of a drive, as fractions of it where it begins and where it ends.
pub(super) type Part = (f64, f64);
/// The whole of a drive.
pub(super) const WHOLE: Part = (0.0, 1.0);

/// Number of bisection steps for a fraction of a drive.
const SHARE_BISECTIONS: usize = 7;

/// One yaw, slide or hop.
#[derive(Clone, Debug)]
pub(super) struct Drive {
    pub(super) module: ModuleId,
    pub(super) action: Move,
    /// Its duration, in seconds, where that depends on where it begins.
    pub(super) lasts_s: Option<f64>,
    /// The modules that take part: the mover and all it carries.
    pub(super) members: Vec<ModuleId>,
    /// The modules below the mover, on both sides of a hop.
    pub(super) hosts: Vec<ModuleId>,
    /// Whether its mover stays where it is, with all that it carries.
    is_still: bool,
    /// The way of every member's centre.
    ways: Vec<MemberWay>,
}

/// The way of a module's centre in a drive, within a ball.
#[derive(Clone, Debug)]
struct MemberWay {
    member: ModuleId,
    /// The number of drives that the member has taken part in before.
    nth: usize,
    path: Path,
    middle: DVec3,
    reach_m: f64,
}

impl MemberWay {
    /// A lower bound on the distance to a ball, in metres.
    fn apart_m(&self, middle: DVec3, reach_m: f64) -> f64 {
        self.middle.distance(middle) - self.reach_m - reach_m
    }
}

impl Drive {
    /// The modules whose own drive it is, which have to roll: the mover, and in a stride the planted modules.
    pub(super) fn own_of(&self) -> impl Iterator<Item = ModuleId> + '_ {
        let planted = match &self.action {
            Move::Stride { planted, .. } => planted.ids(),
            _ => &[],
        };
        std::iter::once(self.module).chain(planted.iter().copied())
    }
}

/// The drives of a sequence, and the places of every module.
#[derive(Clone, Debug)]
pub(super) struct DriveSequence<'a> {
    pub(super) problem: &'a Problem,
    pub(super) drives: Vec<Drive>,
    /// For each module its placement after none, one, two, … of the drives it takes part in; all rolling.
    pub(super) places: Vec<Vec<Placement>>,
    /// For each module the drives it takes part in, in order.
    own: Vec<Vec<usize>>,
    /// Pairs of drives that were asked about and are near, and whether they collide; see [`collide`](Self::collide).
    collisions: RefCell<IndexMap<(usize, usize), bool, FxBuildHasher>>,
}

impl<'a> DriveSequence<'a> {
    /// The drives of a sequence that can be made one move after the other; braces and releases in it are ignored.
    pub(super) fn new(problem: &'a Problem, moves: &[(ModuleId, Move)]) -> Result<Self, ScheduleError> {
        let moves: Vec<(ModuleId, Move)> =
            moves.iter().copied().filter(|(_, action)| action.shakes()).collect();
        let mut now = rolling(&problem.start);
        let mut places: Vec<Vec<Placement>> = now.iter().map(|(_, place)| vec![*place]).collect();
        let mut own = vec![Vec::new(); places.len()];
        let mut drives = Vec::with_capacity(moves.len());
        for (index, &(module, action)) in moves.iter().enumerate() {
            let before = now;
            now = apply(problem, &before, module, &action).map_err(|error| ScheduleError::Cannot {
                module: problem.module_name(module).into(),
                index,
                error,
            })?;
            let mut hosts: Vec<ModuleId> = before.hosts_below(module).filter_map(Body::module).collect();
            let members = if let Move::Hop { to } = action {
                hosts.extend(to.module());
                hosts.extend(now.hosts_below(module).filter_map(Body::module));
                vec![module]
            } else {
                before.carried_with(module)
            };
            let sweeps = sweeps_of(problem, &before, module, &action);
            let still = Sweep::Shift { step: DVec3::ZERO };
            let way = |&member: &ModuleId| {
                let nth = places[member.index()].len() - 1;
                let from = places[member.index()][nth].position;
                let path = sweeps.map_or(still, |sweeps| sweeps.of(member)).path_of(from);
                let (middle, reach_m) = (path.at(0.5 * path.span()), path.reach_from_middle());
                MemberWay { member, nth, path, middle, reach_m }
            };
            let ways = members.iter().map(way).collect();
            for member in &members {
                places[member.index()].push(*now.get(*member));
                own[member.index()].push(index);
            }
            let lasts_s = matches!(action, Move::Stride { .. })
                .then(|| duration_at_s(problem, &before, module, &action));
            let is_still = sweeps.is_none();
            drives.push(Drive { module, action, lasts_s, members, hosts, is_still, ways });
        }
        Ok(Self { problem, drives, places, own, collisions: RefCell::default() })
    }

    /// The number of drives that a module has taken part in when one of them ends.
    pub(super) fn done_after(&self, drive: usize, module: ModuleId) -> usize {
        let drive = &self.drives[drive];
        drive.ways.iter().find(|way| way.member == module).map_or(0, |way| way.nth + 1)
    }

    /// Whether two drives keep their order because a module takes part in both, or one moves a host of the other.
    pub(super) fn keep_order(&self, a: usize, b: usize) -> bool {
        let (a, b) = (&self.drives[a], &self.drives[b]);
        let shares = |members: &[ModuleId], others: &[ModuleId]| members.iter().any(|m| others.contains(m));
        shares(&a.members, &b.members) || shares(&a.members, &b.hosts) || shares(&b.members, &a.hosts)
    }

    /// Whether bodies of two unordered drives come too near to each other if each may be anywhere on its path.
    pub(super) fn collide(&self, a: usize, b: usize) -> bool {
        if self.keep_order(a, b) || !self.may_meet(a, b) {
            return false;
        }
        let pair = (a.min(b), a.max(b));
        let known = self.collisions.borrow().get(&pair).copied();
        known.unwrap_or_else(|| {
            // In a fixed order, so that at the very limit the checker of the finished plan gets the same answer.
            let in_order = self.drives[a].module <= self.drives[b].module;
            let (first, second) = if in_order { (a, b) } else { (b, a) };
            let meet = self.parts_meet((first, WHOLE), (second, WHOLE));
            self.collisions.borrow_mut().insert(pair, meet);
            meet
        })
    }

    /// Whether the balls about any ways of two drives come too near to each other, where one of the drives moves anything.
    fn may_meet(&self, a: usize, b: usize) -> bool {
        let (a, b) = (&self.drives[a], &self.drives[b]);
        let most_m = ROOM_M.max(self.problem.limits.clearance_m);
        let near = |mine: &MemberWay, theirs: &MemberWay| {
            mine.apart_m(theirs.middle, theirs.reach_m) < self.radii(mine.member, theirs.member) + most_m
        };
        !(a.is_still && b.is_still)
            && a.ways.iter().any(|mine| b.ways.iter().any(|theirs| near(mine, theirs)))
    }

    /// Whether parts of two drives come too near to each other.
    fn parts_meet(&self, (a, own): (usize, Part), (b, its): (usize, Part)) -> bool {
        let most_m = ROOM_M.max(self.problem.limits.clearance_m);
        let (a, b) = (&self.drives[a].ways, &self.drives[b].ways);
        a.iter().any(|mine| {
            let near = |theirs: &&MemberWay| {
                mine.apart_m(theirs.middle, theirs.reach_m) < self.radii(mine.member, theirs.member) + most_m
            };
            b.iter().filter(near).any(|theirs| {
                let (way, other) = (&mine.path.part(own.0, own.1), &theirs.path.part(its.0, its.1));
                let least = self.room(way, other, self.radii(mine.member, theirs.member));
                let apart_m = theirs.apart_m(way.at(0.5 * way.span()), way.reach_from_middle());
                apart_m < least && !keep_apart(way, other, least)
            })
        })
    }

    /// The fraction of a drive after which the rest of it is clear of a part of another, or before which the part so far is clear; rounded to the safe
    /// side of a bisection.
    pub(super) fn clear_share(&self, drive: usize, other: (usize, Part), rest: bool) -> f64 {
        let meets = |share: f64| {
            let part = if rest { (share, 1.0) } else { (0.0, share) };
            self.parts_meet((drive, part), other)
        };
        // An empty rest and an empty part are taken as clear.
        let (mut meeting, mut clear) = if rest { (0.0, 1.0) } else { (1.0, 0.0) };
        for _ in 0..SHARE_BISECTIONS {
            let middle = 0.5 * (meeting + clear);
            if meets(middle) {
                meeting = middle;
            } else {
                clear = middle;
            }
        }
        clear
    }

    /// Whether a drive is clear of a module that stands where `drives_done` of its drives have brought it.
    pub(super) fn is_clear_of(&self, drive: usize, other: ModuleId, drives_done: usize) -> bool {
        let there = self.places[other.index()][drives_done].position;
        self.drives[drive].ways.iter().all(|mine| {
            // Where it stands in the trips as they were planned, they know how near the drive may come.
            let least_at = |margin_m: f64| self.radii(mine.member, other) + margin_m - tolerance::LENGTH_M;
            if mine.member == other || mine.apart_m(there, 0.0) >= least_at(self.problem.limits.clearance_m) {
                return true;
            }
            let as_planned = self.done_before(drive, other) == drives_done;
            let margin_m = if as_planned { 0.0 } else { self.problem.limits.clearance_m };
            mine.path.least_distance_to_point(there).0 >= least_at(margin_m)
        })
    }

    /// Least distance in metres between two centres on their paths: with a gap between the shells, or as near as they are before both drives or after
    /// both. Where a clearance is asked for, only places where they touch may be nearer.
    fn room(&self, a: &Path, b: &Path, radii: f64) -> f64 {
        let limits = &self.problem.limits;
        let ends = [a.at(0.0).distance(b.at(0.0)), a.at(a.span()).distance(b.at(b.span()))];
        let counts = |apart: &f64| limits.clearance_m <= 0.0 || *apart <= radii + limits.touch_tol_m;
        let nearest = ends.into_iter().filter(counts).fold(radii + ROOM_M.max(limits.clearance_m), f64::min);
        nearest.max(radii) - tolerance::LENGTH_M
    }

    /// Number of drives of a module before a drive of another, in the order of the trips.
    pub(super) fn done_before(&self, drive: usize, module: ModuleId) -> usize {
        self.own[module.index()].partition_point(|&own| own < drive)
    }

    fn radii(&self, a: ModuleId, b: ModuleId) -> f64 {
        self.problem.kind(a).shell_radius_m + self.problem.kind(b).shell_radius_m
    }
}
