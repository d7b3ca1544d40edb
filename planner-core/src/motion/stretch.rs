//! A stretch: an interval of time in which the set of moves under way stays the same.

use super::Move;
use super::kinematics::{carry, sweeps_of};
use super::striding::ground_under;
use crate::geometry::Sweep;
use crate::math::{DVec3, angle_between, tolerance};
use crate::model::{Body, Configuration, ModuleId, Placement, Problem, Touch, touches};
use crate::statics::Driving;

/// One move under way over a stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Underway {
    /// The module that moves.
    pub mover: ModuleId,
    /// The whole move.
    pub action: Move,
    /// The fraction of the move that this stretch covers.
    pub share: f64,
}

impl Underway {
    /// The same with some planted modules gone.
    pub(super) fn without(&self, gone: &[ModuleId]) -> Self {
        let Move::Stride { direction, angle_rad, planted, to } = self.action else { return *self };
        let planted = planted.without(gone);
        Self { action: Move::Stride { direction, angle_rad, planted, to }, ..*self }
    }

    /// The same with its modules under other names.
    pub(crate) fn renamed(&self, name: impl Fn(ModuleId) -> ModuleId) -> Self {
        let action = match self.action {
            Move::Stride { direction, angle_rad, planted, to } => {
                Move::Stride { direction, angle_rad, planted: planted.renamed(&name), to }
            }
            other => other,
        };
        Self { mover: name(self.mover), action, share: self.share }
    }
}

/// A rigid group in motion.
#[derive(Clone, Debug)]
pub(super) struct Group {
    pub(super) mover: ModuleId,
    pub(super) members: Vec<ModuleId>,
    pub(super) sweep: Sweep,
    /// The limits on the mover's bond.
    pub(super) driving: [Option<Driving>; 2],
    /// Whether these are the planted modules of a stride.
    pub(super) rolls: bool,
}

/// A hop or a cross in progress: the placement it leads to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hopping {
    pub(super) mover: ModuleId,
    pub(super) after: Placement,
}

/// A stretch of time: the configuration at its beginning, and the moves under way. Progress is a fraction from 0 to 1.
#[derive(Clone, Debug)]
pub struct Stretch<'a> {
    pub(super) problem: &'a Problem,
    pub(super) start: Configuration,
    pub(super) groups: Vec<Group>,
    pub(super) hops: Vec<Hopping>,
    /// The modules whose foot is in the air: they stride.
    pub(super) lifted: Vec<ModuleId>,
    /// Whether a brace or a release is under way.
    pub(super) changes_holds: bool,
    /// Touches that are not there.
    pub(super) missing: Missing,
}

/// Touches that are not there, although the shells are near enough.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Missing {
    /// All are there.
    #[default]
    Nothing,
    /// One between two bodies is not.
    One(ModuleId, Body),
    /// None is.
    All,
}

impl Missing {
    /// Takes the touches that are not there out of a list.
    pub(crate) fn take_out(self, touches: &mut Vec<Touch>) {
        match self {
            Self::Nothing => {}
            Self::One(module, other) => touches.retain(|t| (t.module, t.other) != (module, other)),
            Self::All => touches.clear(),
        }
    }
}

impl<'a> Stretch<'a> {
    /// A stretch that begins at `start`, in which each move of `underway` covers its fraction; braces and releases too are among them. Crosses are whole.
    ///
    /// `start` must have the holds that count during the stretch: rolling while a brace or a release is under way. Hops and crosses in
    /// `underway` must be possible: they are given with the placement they lead to.
    #[must_use]
    pub fn new(
        problem: &'a Problem,
        start: Configuration,
        underway: &[Underway],
        hop_ends: &[(ModuleId, Placement)],
    ) -> Self {
        let crosses = |(_, end): &&(ModuleId, Placement)| end.host.ground().is_some();
        let crossing = hop_ends.iter().filter(crosses).filter_map(|&(mover, end)| {
            let begin = start.get(mover);
            begin.host.ground()?;
            // Its load is looked at before and after; its shell goes straight.
            let sweep = Sweep::Shift { step: end.position - begin.position };
            Some(Group { mover, members: vec![mover], sweep, driving: [None, None], rolls: false })
        });
        let groups = underway
            .iter()
            .filter(|u| u.action.sweeps())
            .flat_map(|u| groups_of(problem, &start, u))
            .chain(crossing)
            .collect();
        let hops = hop_ends.iter().map(|&(mover, after)| Hopping { mover, after }).collect();
        let changes_holds = underway.iter().any(|u| matches!(u.action, Move::Brace | Move::Release));
        let strides = underway.iter().filter(|u| matches!(u.action, Move::Stride { .. }));
        let lifted = strides.map(|u| u.mover).collect();
        Self { problem, start, groups, hops, lifted, changes_holds, missing: Missing::Nothing }
    }

    /// The same without some touches.
    pub(crate) const fn with_missing(mut self, missing: Missing) -> Self {
        self.missing = missing;
        self
    }

    /// The same with drives that are strong enough for anything.
    pub(crate) fn without_drive_limits(mut self) -> Self {
        self.groups.iter_mut().for_each(|group| group.driving = [None; 2]);
        self
    }

    /// The whole of one move. For a hop or a cross, `after` is the configuration it leads to.
    #[must_use]
    pub fn of_move(
        problem: &'a Problem,
        start: &Configuration,
        mover: ModuleId,
        action: &Move,
        after: &Configuration,
    ) -> Self {
        let mut begin = start.clone();
        if matches!(action, Move::Brace | Move::Release) {
            begin.get_mut(mover).hold = crate::model::Hold::Rolling;
        }
        let hop = action.changes_host().then(|| (mover, *after.get(mover)));
        let underway = Underway { mover, action: *action, share: 1.0 };
        Self::new(problem, begin, &[underway], hop.as_slice())
    }

    /// The configuration at a fraction of the stretch; hopping modules are still where they were.
    #[must_use]
    pub fn at(&self, share: f64) -> Configuration {
        let mut there = self.start.clone();
        if share > 0.0 {
            for group in &self.groups {
                carry(&mut there, &group.members, &group.sweep, share);
            }
        }
        there
    }

    /// The same with a fraction for each group, in the order of the movers.
    pub(super) fn at_each(&self, shares: &[f64]) -> Configuration {
        let mut there = self.start.clone();
        for (group, &share) in self.groups.iter().zip(shares).filter(|(_, share)| **share > 0.0) {
            carry(&mut there, &group.members, &group.sweep, share);
        }
        there
    }

    /// Whether the motion factor applies to gravity.
    #[must_use]
    pub fn shakes(&self) -> bool {
        self.drives() || (self.changes_holds && self.problem.edition.bracing_shakes())
    }

    /// Whether a module slides, yaws or hops.
    #[must_use]
    pub fn drives(&self) -> bool {
        !self.groups.is_empty() || !self.hops.is_empty()
    }

    /// The number of a module's group: 0 for modules that keep their place.
    pub(super) fn group_of(&self, id: ModuleId) -> usize {
        self.groups.iter().position(|g| g.members.contains(&id)).map_or(0, |i| i + 1)
    }

    /// The touches that count: between bodies that keep their places relative to each other.
    pub(super) fn counted_touches(&self, there: &Configuration) -> Vec<Touch> {
        let mut found = touches(self.problem, there);
        if !self.groups.is_empty() {
            found.retain(|touch| {
                let other = match touch.other {
                    Body::Ground(_) | Body::Stone(_) => 0,
                    Body::Module(other) => self.group_of(other),
                };
                let own = self.group_of(touch.module);
                let rolls = own > 0 && self.groups[own - 1].rolls;
                match touch.other {
                    // They roll: the point of contact moves, and the shell does not slip on it.
                    Body::Ground(ground) if rolls => {
                        ground_under(self.problem, touch.module, there.get(touch.module), Some(ground))
                            .is_some()
                    }
                    _ => own == other && !rolls,
                }
            });
        }
        self.missing.take_out(&mut found);
        if self.problem.edition.hops_slip() {
            self.let_hops_slip(&mut found, there);
        }
        found
    }

    /// While a module hops its shell turns about its centre and slips on what it touches; touches between two that hop do not count.
    fn let_hops_slip(&self, touches: &mut Vec<Touch>, there: &Configuration) {
        let hop_of = |body: Body| self.hops.iter().find(|hop| body == Body::Module(hop.mover));
        touches.retain(|touch| hop_of(Body::Module(touch.module)).is_none() || hop_of(touch.other).is_none());
        for touch in touches {
            let (hop, towards) = match (hop_of(Body::Module(touch.module)), hop_of(touch.other)) {
                (Some(hop), _) => (hop, 1.0),
                (None, Some(hop)) => (hop, -1.0),
                (None, None) => continue,
            };
            let arm = touch.point - there.get(hop.mover).position;
            let radius = self.problem.kind(hop.mover).shell_radius_m;
            let slips = slip_direction(self.start.get(hop.mover).up(), hop.after.up(), arm, radius);
            // On the mover, friction acts against the way its shell goes there.
            touch.slipping = Some(touch.normal - slips.unwrap_or(DVec3::ZERO) * (towards * touch.friction));
        }
    }
}

/// The direction in which a shell that pivots from one normal to another goes at the end of an arm from its centre; `None` where it has none.
fn slip_direction(old: DVec3, new: DVec3, arm: DVec3, radius: f64) -> Option<DVec3> {
    let pivot = angle_between(old, new);
    if !(tolerance::ANGLE_RAD..=std::f64::consts::PI - tolerance::ANGLE_RAD).contains(&pivot) {
        return None;
    }
    let along = old.cross(new).normalize().cross(arm);
    (along.length() >= NO_SLIP_RADII * radius).then(|| along.normalize())
}

/// A place on a shell nearer to the pivot's axis than this does not slip, in shell radii.
const NO_SLIP_RADII: f64 = 1e-9;

/// The limits that a slide or a yaw puts on the mover's bond.
fn driving_of(problem: &Problem, action: &Move) -> [Option<Driving>; 2] {
    match *action {
        Move::Yaw { .. } => [Some(Driving::Yaw), None],
        Move::Slide { curvature_per_m, .. } if curvature_per_m != 0.0 && problem.edition.curves_turn() => {
            [Some(Driving::Slide), Some(Driving::Yaw)]
        }
        Move::Slide { .. } => [Some(Driving::Slide), None],
        Move::Stride { .. } | Move::Hop { .. } | Move::Cross { .. } | Move::Brace | Move::Release => {
            [None, None]
        }
    }
}

/// What a slide, a yaw or a stride moves: one group, or in a stride the machine and its planted modules.
fn groups_of(problem: &Problem, start: &Configuration, underway: &Underway) -> Vec<Group> {
    let Underway { mover, ref action, share } = *underway;
    let Some(sweeps) = sweeps_of(problem, start, mover, action) else { return Vec::new() };
    let mut members = start.carried_with(mover);
    let driving = driving_of(problem, action);
    let sweep = sweeps.of(mover).part(0.0, share);
    let rolling = sweeps.rolling().map(|(planted, sweep)| {
        members.retain(|id| !planted.ids().contains(id));
        let (members, sweep) = (planted.ids().to_vec(), sweep.part(0.0, share));
        Group { mover, members, sweep, driving, rolls: true }
    });
    let own = Group { mover, members, sweep, driving, rolls: false };
    std::iter::once(own).chain(rolling).collect()
}
