//! What each step comes near to: its smallest free gap, overlaps, and drives nearer than the clearance asked for.

use super::clearance::Clearance;
use super::near::Near;
use super::timeline::{Piece, Timeline};
use crate::geometry::{Path, Sweep, least_distance_between, least_distance_to_prism};
use crate::math::{DVec3, tolerance};
use crate::model::{Body, ModuleId, Problem};
use crate::motion::{Fault, Move, rolling_reach_fault, stance_fault_after, stance_fault_over};

/// A step as it was replayed.
#[derive(Clone, Debug)]
pub(super) struct Made {
    pub(super) module: ModuleId,
    pub(super) action: Move,
    /// What it moves.
    pub(super) members: Vec<ModuleId>,
    pub(super) from_s: f64,
    pub(super) to_s: f64,
    /// The hosts of its mover before and after.
    pub(super) hosts: [Body; 2],
}

impl Made {
    /// The modules that roll, in a stride.
    pub(super) fn planted(&self) -> &[ModuleId] {
        match &self.action {
            Move::Stride { planted, .. } => planted.ids(),
            _ => &[],
        }
    }

    /// Whether a module keeps its place relative to a member, or the pair is looked at from the other side: planted modules are looked at against the
    /// rest of their machine.
    fn keeps_place(&self, member: ModuleId, other: ModuleId) -> bool {
        self.members.contains(&other)
            && (!self.planted().contains(&member) || self.planted().contains(&other))
    }
}

/// The steps of a plan and where they lead everybody.
pub(super) struct Meetings<'a> {
    pub(super) problem: &'a Problem,
    pub(super) timeline: &'a Timeline,
    pub(super) near: &'a Near<'a>,
    /// For each step, if it could be begun.
    pub(super) made: &'a [Option<Made>],
    pub(super) clearance: &'a Clearance<'a>,
}

/// What a step comes near to.
#[derive(Default)]
pub(super) struct Met {
    /// Its smallest free gap, in metres.
    pub(super) gap_m: Option<f64>,
    /// Faults, each with its time in seconds.
    pub(super) faults: Vec<(Fault, f64)>,
}

/// The nearest that a module and another body come, and when.
#[derive(Clone, Copy, Debug)]
struct Meeting {
    module: ModuleId,
    other: Body,
    gap_m: f64,
    at_s: f64,
    /// The other step that moves the other body.
    moved_by: Option<usize>,
}

/// Bodies are first looked for within this, in radii of the largest shell, and then in steps that are so many times wider.
const FIRST: f64 = 4.0;
const WIDER: f64 = 4.0;

impl Meetings<'_> {
    /// What a step comes near to.
    pub(super) fn of(&self, step: usize) -> Met {
        let Some(made) = &self.made[step] else { return Met::default() };
        let mut met = Met { gap_m: None, faults: self.stance_faults(step, made) };
        if matches!(made.action, Move::Brace | Move::Release) {
            return met;
        }
        let mut free_m = f64::INFINITY;
        for &member in &made.members {
            let Some(piece) = self.piece_of(step, made, member) else { continue };
            self.meet_grounds(made, member, piece, &mut free_m, &mut met.faults);
            self.meet_stones(made, member, piece, &mut free_m, &mut met.faults);
            self.meet_modules(step, made, member, piece, &mut free_m, &mut met.faults);
        }
        met.gap_m = free_m.is_finite().then_some(free_m);
        met
    }

    /// The piece over which a step moves a module; of a hop, the one during which it keeps its place.
    fn piece_of(&self, step: usize, made: &Made, member: ModuleId) -> Option<&Piece> {
        if matches!(made.action, Move::Hop { .. }) {
            return Some(self.timeline.piece_at(member, made.from_s));
        }
        self.timeline.of(member).iter().find(|piece| piece.moved.is_some_and(|(by, _)| by == step))
    }

    fn stance_faults(&self, step: usize, made: &Made) -> Vec<(Fault, f64)> {
        let piece = self.piece_of(step, made, made.module);
        let place_of = |host: Body, at_s: f64| host.module().map(|m| self.timeline.piece_at(m, at_s).place);
        match (made.action, piece) {
            (Move::Yaw { .. } | Move::Slide { .. }, Some(piece)) => {
                let Some((_, sweep)) = piece.moved else { return Vec::new() };
                let host = place_of(piece.place.host, made.from_s);
                let fault = stance_fault_over(self.problem, made.module, &piece.place, &sweep, host.as_ref());
                let at = |share: f64| made.from_s + share * (made.to_s - made.from_s);
                fault.map(|(fault, share)| (fault, at(share))).into_iter().collect()
            }
            (Move::Hop { .. } | Move::Cross { .. } | Move::Stride { .. }, _) => {
                let after = self.timeline.piece_at(made.module, made.to_s).place;
                let host = place_of(after.host, made.from_s);
                let fault = stance_fault_after(self.problem, made.module, &after, host.as_ref());
                let rolling = self.rolling_faults(step, made);
                fault.map(|fault| (fault, made.to_s)).into_iter().chain(rolling).collect()
            }
            _ => Vec::new(),
        }
    }

    /// Feet of planted modules that leave their reach.
    fn rolling_faults(&self, step: usize, made: &Made) -> Vec<(Fault, f64)> {
        let Some(Piece { moved: Some((_, machine)), .. }) = self.piece_of(step, made, made.module) else {
            return Vec::new();
        };
        let reach = |&id: &ModuleId| {
            let place = self.timeline.piece_at(id, made.from_s).place;
            let host = self.timeline.piece_at(place.host.module()?, made.from_s).place;
            let (fault, share) = rolling_reach_fault(self.problem, (id, &place), &host, machine)?;
            Some((fault, made.from_s + share * (made.to_s - made.from_s)))
        };
        made.planted().iter().filter_map(reach).collect()
    }

    fn meet_grounds(
        &self,
        made: &Made,
        member: ModuleId,
        piece: &Piece,
        free_m: &mut f64,
        faults: &mut Vec<(Fault, f64)>,
    ) {
        let radius = self.problem.kind(member).shell_radius_m;
        let path = piece
            .path_between(made.from_s, made.to_s)
            .filter(|_| piece.moved.is_some())
            .unwrap_or(Path::Line { from: piece.position_at(made.from_s), step: DVec3::ZERO });
        for ground in self.problem.ground_ids() {
            let other = Body::Ground(ground);
            let is_host = member == made.module && made.hosts.contains(&other);
            if is_host && made.planted().is_empty() {
                continue;
            }
            let ends = [path.at(0.0), path.at(path.span())];
            let touches = |at: DVec3| {
                self.problem.distance_to_ground(ground, at) - radius <= self.problem.limits.touch_tol_m
            };
            let is_free = !is_host && !ends.into_iter().any(touches);
            let rough_m = self.clearance.most_wanted_m(ground, &path);
            let below = rough_m.max(if is_free { *free_m } else { 0.0 });
            let near = self
                .problem
                .decks_of(ground)
                .filter_map(|deck| least_distance_to_prism(&path, &deck.solid, below + radius));
            let Some((distance, t)) = near.min_by(|a, b| a.0.total_cmp(&b.0)) else { continue };
            let share = if path.span() == 0.0 { 0.0 } else { t / path.span() };
            let at_s = made.from_s + share * (made.to_s - made.from_s);
            let gap_m = distance - radius;
            if is_free {
                *free_m = free_m.min(gap_m);
            }
            if piece.moved.is_some() {
                let meeting = Meeting { module: member, other, gap_m, at_s, moved_by: None };
                faults
                    .extend(self.fault_of(made, &meeting).or_else(|| self.rough_fault(made, meeting, &path)));
            }
        }
    }

    /// From a rough deck the clearance grows with the height above it, so where it is least kept is not where the gap is least.
    fn rough_fault(&self, made: &Made, meeting: Meeting, path: &Path) -> Option<(Fault, f64)> {
        let ground = meeting.other.ground()?;
        if self.problem.ground(ground).surfacing.tilt_rad == 0.0 {
            return None;
        }
        let radius = self.problem.kind(meeting.module).shell_radius_m;
        let gap = |share: f64| self.problem.distance_to_ground(ground, path.at(share * path.span())) - radius;
        let kept =
            |share: f64| gap(share) - self.clearance.wanted_at_m(meeting.other, path.at(share * path.span()));
        // Gap and height both change by no more than the centre moves.
        let share = least_on(2.0 * path.length(), &kept);
        let at_s = made.from_s + share * (made.to_s - made.from_s);
        self.fault_of(made, &Meeting { gap_m: gap(share), at_s, ..meeting })
    }

    fn meet_stones(
        &self,
        made: &Made,
        member: ModuleId,
        piece: &Piece,
        free_m: &mut f64,
        faults: &mut Vec<(Fault, f64)>,
    ) {
        let radius = self.problem.kind(member).shell_radius_m;
        let path = piece
            .path_between(made.from_s, made.to_s)
            .filter(|_| piece.moved.is_some())
            .unwrap_or(Path::Line { from: piece.position_at(made.from_s), step: DVec3::ZERO });
        for (id, stone) in self.problem.stone_ids().zip(&self.problem.stones) {
            let gap = |at: DVec3| self.problem.distance_to_stone(id, at) - radius;
            let touches = [0.0, path.span()].map(|t| gap(path.at(t)) <= self.problem.limits.touch_tol_m);
            let (distance, t) = path.least_distance_to_point(stone.centre);
            let gap_m = distance - stone.radius_m - radius;
            if !touches.contains(&true) {
                *free_m = free_m.min(gap_m);
            }
            if piece.moved.is_some() {
                let share = if path.span() == 0.0 { 0.0 } else { t / path.span() };
                let at_s = made.from_s + share * (made.to_s - made.from_s);
                let meeting = Meeting { module: member, other: Body::Stone(id), gap_m, at_s, moved_by: None };
                faults.extend(self.fault_of(made, &meeting));
            }
        }
    }

    fn meet_modules(
        &self,
        step: usize,
        made: &Made,
        member: ModuleId,
        piece: &Piece,
        free_m: &mut f64,
        faults: &mut Vec<(Fault, f64)>,
    ) {
        let largest_m = self.problem.kinds.iter().map(|kind| kind.shell_radius_m).fold(0.0, f64::max);
        let radius = self.problem.kind(member).shell_radius_m;
        // All with a gap up to `within_m` are found.
        let mut within_m = (FIRST * largest_m).max(self.clearance.wanted_m());
        let mut first = true;
        loop {
            for (other, theirs) in self.near.pieces(piece, radius + largest_m + within_m) {
                if other == member || made.keeps_place(member, other) {
                    continue;
                }
                let rolls = made.members.contains(&other);
                if rolls && self.are_bonded(made, member, other) {
                    continue;
                }
                let attached = member == made.module && made.hosts.contains(&Body::Module(other));
                if attached && made.hosts[0] == made.hosts[1] {
                    continue;
                }
                let below = if first { within_m } else { *free_m };
                let Some(meeting) = self.meeting(made, (member, piece), (other, theirs), below) else {
                    continue;
                };
                if first
                    && piece.moved.is_some()
                    && !attached
                    && meeting.moved_by.is_none_or(|by| step < by || rolls)
                {
                    faults.extend(self.fault_of(made, &meeting));
                }
                if meeting.gap_m < *free_m && !self.is_attached(made, member, piece, other) {
                    *free_m = meeting.gap_m;
                }
            }
            if *free_m <= within_m || !within_m.is_finite() {
                return;
            }
            within_m = if within_m > 1e3 * largest_m { f64::INFINITY } else { within_m * WIDER };
            first = false;
        }
    }

    /// Whether one of two modules of a machine stands on the other.
    fn are_bonded(&self, made: &Made, a: ModuleId, b: ModuleId) -> bool {
        let host = |module: ModuleId| self.timeline.piece_at(module, made.from_s).place.host;
        host(a) == Body::Module(b) || host(b) == Body::Module(a)
    }

    /// The nearest that a module comes to another over a piece of the other, if nearer than `below`.
    fn meeting(
        &self,
        made: &Made,
        (member, piece): (ModuleId, &Piece),
        (other, theirs): (ModuleId, &Piece),
        below: f64,
    ) -> Option<Meeting> {
        let (from_s, to_s) = (made.from_s.max(theirs.from_s), made.to_s.min(theirs.to_s));
        let at_once = made.to_s - made.from_s <= tolerance::TIME_S;
        if from_s > to_s || (to_s - from_s <= tolerance::TIME_S && !at_once) {
            return None;
        }
        let radii = self.problem.kind(member).shell_radius_m + self.problem.kind(other).shell_radius_m;
        let mine = piece.path_between(from_s, to_s);
        let (distance, share) = match (mine, theirs.path_between(from_s, to_s)) {
            (Some(mine), Some(theirs)) => {
                let apart = mine.at(0.5 * mine.span()).distance(theirs.at(0.5 * theirs.span()));
                if apart - mine.reach_from_middle() - theirs.reach_from_middle() - radii >= below {
                    return None;
                }
                least_distance_between(&mine, &theirs)
            }
            (Some(mine), None) => nearest(&mine, theirs.place.position, radii + below)?,
            (None, Some(theirs)) => nearest(&theirs, piece.place.position, radii + below)?,
            (None, None) => (piece.place.position.distance(theirs.place.position), 0.0),
        };
        let gap_m = distance - radii;
        let moved_by = theirs.moved.map(|(by, _)| by);
        let at_s = from_s + share * (to_s - from_s);
        (gap_m < below).then_some(Meeting {
            module: member,
            other: Body::Module(other),
            gap_m,
            at_s,
            moved_by,
        })
    }

    /// Whether a step leaves, holds or touches a module at one of its ends.
    fn is_attached(&self, made: &Made, member: ModuleId, piece: &Piece, other: ModuleId) -> bool {
        if member == made.module && made.hosts.contains(&Body::Module(other)) {
            return true;
        }
        let radii = self.problem.kind(member).shell_radius_m + self.problem.kind(other).shell_radius_m;
        let ends = match piece.moved {
            None => [piece.place.position; 2],
            Some((_, sweep)) => [piece.place.position, sweep.point_at(piece.place.position, 1.0)],
        };
        ends.into_iter().zip([made.from_s, made.to_s]).any(|(at, at_s)| {
            let apart = at.distance(self.timeline.position_at(other, at_s));
            apart - radii <= self.problem.limits.touch_tol_m
        })
    }

    fn fault_of(&self, made: &Made, meeting: &Meeting) -> Option<(Fault, f64)> {
        let &Meeting { module, other, gap_m, at_s, moved_by } = meeting;
        if gap_m < -tolerance::LENGTH_M {
            return Some((Fault::Overlap { module, other, gap_m }, at_s));
        }
        let beside = moved_by.and_then(|by| self.made[by].as_ref());
        let centre = self.timeline.position_at(module, at_s);
        let asked_m = self.clearance.asked_m((module, other), (gap_m, centre), made, beside)?;
        (gap_m < asked_m - tolerance::LENGTH_M)
            .then_some((Fault::Clearance { module, other, gap_m, asked_m }, at_s))
    }
}

/// The fraction at which a value that changes by no more than `rate` over the whole is least, to the tolerance of lengths. Once it is negative, that
/// place will do.
fn least_on(rate: f64, value: &impl Fn(f64) -> f64) -> f64 {
    let mut best = (value(0.0), 0.0);
    let mut open = vec![(0.0, 1.0)];
    while let Some((from, to)) = open.pop() {
        let middle = 0.5 * (from + to);
        let here = value(middle);
        if here < best.0 {
            best = (here, middle);
        }
        if best.0 < -tolerance::LENGTH_M {
            break;
        }
        let least = here - 0.5 * rate * (to - from);
        if least < -0.5 * tolerance::LENGTH_M && to - from > SHORTEST {
            open.extend([(from, middle), (middle, to)]);
        }
    }
    best.1
}

/// Fractions of a path closer than this are one.
const SHORTEST: f64 = 1e-9;

/// The least distance from a path to a place, and the fraction of the path; `None` where it is plainly not below a distance.
fn nearest(path: &Path, place: DVec3, below: f64) -> Option<(f64, f64)> {
    let apart = path.at(0.5 * path.span()).distance(place) - path.reach_from_middle();
    if apart >= below {
        return None;
    }
    let (distance, t) = path.least_distance_to_point(place);
    Some((distance, if path.span() == 0.0 { 0.0 } else { t / path.span() }))
}

/// Whether a motion takes a place elsewhere: a turn about an axis through it does not.
pub(super) fn displaces(sweep: &Sweep, place: DVec3) -> bool {
    match sweep.path_of(place) {
        Path::Arc { cosine, .. } => cosine.length() >= tolerance::LENGTH_M,
        Path::Line { .. } | Path::Trochoid { .. } => true,
    }
}
