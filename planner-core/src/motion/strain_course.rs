//! The load over a stretch: certified, not sampled.
//!
//! Over a stretch every group turns about a fixed axis. In the frame of each bond its wrench from weight is then a constant plus waves
//! of the share done, so it stays within a known sagitta of its chord. The utilisation (with touches: the optimal value of the cone
//! programme) is a convex function of these wrenches. On the chord it is therefore at most that of the worse end, and between two
//! instants at most that of the worse end with the sagitta added to every demand. Halving the interval shrinks the sagitta by four.

use super::Stretch;
use super::stretch::Group;
use crate::geometry::Sweep;
use crate::math::{DVec3, LeastFirst, perpendicular_part};
use crate::model::{Configuration, ModuleId};
use crate::statics::{DIRECTIONS, Driving, LoadCase, PushHint, Strain};

/// The worst strain over a stretch, and where it is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstStrain {
    /// Utilisation and excess; no instant of the stretch is worse by more than 1e-7.
    pub strain: Strain,
    /// Share of the stretch at which it is reached.
    pub share: f64,
    /// Which of the hops under way are done, bit by bit.
    pub hops_done: usize,
}

/// No strain at all.
const NOTHING: WorstStrain = WorstStrain {
    strain: Strain { utilisation: 0.0, excess_n: f64::NEG_INFINITY },
    share: 0.0,
    hops_done: 0,
};

/// The bracket is closed to this in utilisation, and in newtons for hard conditions.
const CLOSED: f64 = 1e-8;
/// Halvings after which a stretch counts as not carried.
const DEEPEST: u32 = 10;
/// Shares closer than this are one instant.
const INSTANT: f64 = 1e-7;

impl Stretch<'_> {
    /// The load case at an instant, with every hop whose bit is set in `hops_done` on its new host.
    #[must_use]
    pub fn load_at(&self, share: f64, hops_done: usize) -> LoadCase {
        self.load_with_hops(self.at(share), hops_done)
    }

    /// The load case of a configuration on the way, with every hop whose bit is set in `hops_done` on its new host.
    pub(super) fn load_with_hops(&self, mut there: Configuration, hops_done: usize) -> LoadCase {
        for (bit, hop) in self.hops.iter().enumerate() {
            if hops_done >> bit & 1 == 1 {
                *there.get_mut(hop.mover) = hop.after;
            }
        }
        self.load_of(&there)
    }

    fn load_of(&self, there: &Configuration) -> LoadCase {
        let problem = self.problem;
        let mut case = LoadCase::new(problem, there, self.counted_touches(there));
        if self.shakes() {
            case = case.with_gravity_factor(problem.limits.motion_factor);
        }
        for group in &self.groups {
            let driving = if group.is_yaw { Driving::Yaw } else { Driving::Slide };
            case = case.with_driven(problem, group.mover, driving, self.start.get(group.mover).hold);
        }
        for hop in &self.hops {
            case = case.with_weakened(hop.mover, problem.kind(hop.mover).hop_hold);
        }
        case
    }

    pub(super) fn variants(&self) -> std::ops::Range<usize> {
        0..1 << self.hops.len().min(16)
    }

    /// Whether the load is carried at every instant with utilisations up to `limit`. A stretch that cannot be certified in
    /// reasonable depth counts as not carried.
    #[must_use]
    pub fn carries(&self, limit: f64) -> bool {
        self.carries_with(limit, &mut PushHint::default())
    }

    /// The same, with touch forces of similar cases tried first.
    #[must_use]
    pub fn carries_with(&self, limit: f64, hint: &mut PushHint) -> bool {
        self.carries_unless(limit, hint, &|| false)
    }

    /// The same, given up as soon as `enough` says so, which is asked before every load case; then nothing counts as carried.
    #[must_use]
    pub fn carries_unless(&self, limit: f64, hint: &mut PushHint, enough: &dyn Fn() -> bool) -> bool {
        self.variants().all(|hops| {
            let mut first = self.load_at(0.0, hops);
            let bends = self.bends(&first);
            if bends.iter().all(|b| b[0] == 0.0 && b[1] == 0.0) {
                return !enough() && first.carries_with(limit, hint);
            }
            let mut last = self.load_at(1.0, hops);
            let mut search = Certify { stretch: self, limit, hops, bends, hint, enough };
            search.carries_between((0.0, &mut first), (1.0, &mut last), 0)
        })
    }

    /// The worst strain over the stretch, certified.
    #[must_use]
    pub fn worst_strain(&self) -> WorstStrain {
        let mut worst = NOTHING;
        for hops in self.variants() {
            let _ = self.search_worst(hops, &mut worst, &|| false);
        }
        worst
    }

    /// The same, given up with `None` as soon as `enough` says so, which is asked before every load case.
    #[must_use]
    pub fn worst_strain_unless(&self, enough: &dyn Fn() -> bool) -> Option<WorstStrain> {
        let mut worst = NOTHING;
        for hops in self.variants() {
            self.search_worst(hops, &mut worst, enough)?;
        }
        Some(worst)
    }

    /// `None` when there is enough before the end.
    fn search_worst(&self, hops: usize, worst: &mut WorstStrain, enough: &dyn Fn() -> bool) -> Option<()> {
        let go_on = || (!enough()).then_some(());
        go_on()?;
        let first = self.load_at(0.0, hops);
        let bends = self.bends(&first);
        let still = bends.iter().all(|b| b[0] == 0.0 && b[1] == 0.0);
        let mut open = LeastFirst::default();
        for direction in 0..DIRECTIONS {
            note(worst, first.strain(direction), 0.0, hops);
        }
        if still {
            return Some(());
        }
        go_on()?;
        let last = self.load_at(1.0, hops);
        for direction in 0..DIRECTIONS {
            note(worst, last.strain(direction), 1.0, hops);
            let ceiling = ceiling(&bends, (0.0, 1.0), direction, [&first, &last]);
            Interval { direction, shares: (0.0, 1.0), ceiling }.push_onto(&mut open);
        }
        while let Some(interval) = open.pop() {
            let (from, to) = interval.shares;
            if interval.is_closed(worst.strain) || to - from < INSTANT {
                continue;
            }
            go_on()?;
            let middle = 0.5 * (from + to);
            let at_middle = self.load_at(middle, hops);
            note(worst, at_middle.strain(interval.direction), middle, hops);
            for shares in [(from, middle), (middle, to)] {
                let end = if shares.0 == from { from } else { to };
                let at_end = self.load_at(end, hops);
                let ceiling = ceiling(&bends, shares, interval.direction, [&at_end, &at_middle]);
                Interval { shares, ceiling, ..interval }.push_onto(&mut open);
            }
        }
        Some(())
    }

    /// For every bond, how fast its demand can bend: second derivatives of peel and slip demand by the share done, in newtons.
    fn bends(&self, case: &LoadCase) -> Vec<[f64; 2]> {
        let mut bends = vec![[0.0; 2]; case.bonds.len()];
        for group in &self.groups {
            for (sum, bend) in bends.iter_mut().zip(self.bends_by(group, case)) {
                *sum = [sum[0] + bend[0], sum[1] + bend[1]];
            }
        }
        bends
    }

    /// The part of it that comes from one group.
    pub(super) fn bends_by(&self, group: &Group, case: &LoadCase) -> Vec<[f64; 2]> {
        let mut bends = vec![[0.0; 2]; case.bonds.len()];
        let Sweep::Turn { point, axis, angle } = group.sweep else { return bends };
        let gravity = self.problem.site.gravity_mps2 * self.problem.limits.motion_factor;
        let sin_axis = axis.truncate().length();
        let across = gravity * (sin_axis + self.problem.limits.sway_rad.sin()).min(1.0);
        let squared = angle * angle;
        let below: Vec<ModuleId> = self.start.hosts_below(group.mover).filter_map(|b| b.module()).collect();
        let Some(own) = case.bonds.iter().find(|b| b.child == group.mover) else { return bends };
        let from_sole = own.moment_kgm / own.mass_kg;
        let swing_about =
            |arm: DVec3| own.mass_kg * perpendicular_part(arm, axis).length() * gravity * squared;
        let swing = swing_about(own.sole + from_sole - point);
        for (bond, bend) in case.bonds.iter().zip(&mut bends) {
            let about_its_normal = bond.child == group.mover && bond.normal.cross(axis).length() < 1e-9;
            let (force, moment) = if about_its_normal {
                // The bond's normal and the forces stay; the centre of mass swings about the sole. Friction is the same all round a foot,
                // so it does not matter that the foot turns.
                (0.0, swing_about(from_sole))
            } else if below.contains(&bond.child) {
                (0.0, swing)
            } else if group.members.contains(&bond.child) {
                // In the group's own frame it is gravity that turns.
                (bond.mass_kg * across * squared, bond.moment_kgm.length() * across * squared)
            } else {
                continue;
            };
            *bend = bond.bend(force, moment);
        }
        bends
    }
}

/// A yes-or-no search for an instant at which the load is not carried.
struct Certify<'a, 'b> {
    stretch: &'a Stretch<'b>,
    limit: f64,
    hops: usize,
    bends: Vec<[f64; 2]>,
    hint: &'a mut PushHint,
    enough: &'a dyn Fn() -> bool,
}

impl Certify<'_, '_> {
    fn carries_between(
        &mut self,
        (from, at_from): (f64, &mut LoadCase),
        (to, at_to): (f64, &mut LoadCase),
        depth: u32,
    ) -> bool {
        let sagitta = sagitta(to - from);
        if self.carries(at_from, sagitta) && self.carries(at_to, sagitta) {
            return true;
        }
        if depth >= DEEPEST {
            return false;
        }
        if depth == 0 && !(self.carries(at_from, 0.0) && self.carries(at_to, 0.0)) {
            return false;
        }
        let middle = 0.5 * (from + to);
        let mut at_middle = self.stretch.load_at(middle, self.hops);
        self.carries(&mut at_middle, 0.0)
            && self.carries_between((from, at_from), (middle, &mut at_middle), depth + 1)
            && self.carries_between((middle, &mut at_middle), (to, at_to), depth + 1)
    }

    /// Whether a case carries with its bends times a share added to every demand.
    fn carries(&mut self, case: &mut LoadCase, share: f64) -> bool {
        case.set_margin(&self.bends, share);
        !(self.enough)() && case.carries_with(self.limit, self.hint)
    }
}

/// The sagitta of a demand over a width, as a share of its second derivative.
fn sagitta(width: f64) -> f64 {
    width * width / 8.0
}

/// A bound on the strain between two instants, from both ends with the margin added.
fn ceiling(bends: &[[f64; 2]], shares: (f64, f64), direction: usize, ends: [&LoadCase; 2]) -> Strain {
    let [a, b] = ends.map(|case| {
        let mut case = case.clone();
        case.set_margin(bends, sagitta(shares.1 - shares.0));
        case.strain(direction)
    });
    a.worse(b)
}

fn note(worst: &mut WorstStrain, strain: Strain, share: f64, hops_done: usize) {
    let misses = |s: Strain| s.excess_n.max(0.0);
    if misses(strain) > misses(worst.strain)
        || (misses(strain) == misses(worst.strain) && strain.utilisation > worst.strain.utilisation)
    {
        worst.share = share;
        worst.hops_done = hops_done;
    }
    worst.strain = worst.strain.worse(strain);
}

/// A stretch of one direction that may still hold something worse.
#[derive(Clone, Copy, Debug)]
struct Interval {
    direction: usize,
    shares: (f64, f64),
    ceiling: Strain,
}

impl Interval {
    fn is_closed(&self, found: Strain) -> bool {
        self.ceiling.utilisation <= found.utilisation + CLOSED
            && self.ceiling.excess_n <= found.excess_n.max(0.0) + CLOSED
    }

    /// The interval that may hold the worst comes first.
    fn push_onto(self, open: &mut LeastFirst<Self>) {
        let ranks = [-self.ceiling.excess_n.max(0.0), -self.ceiling.utilisation];
        open.push(ranks, [self.direction as u64, self.shares.0.to_bits()], self);
    }
}
