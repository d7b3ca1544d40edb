//! The load over a stretch: certified, not sampled.
//!
//! Over a stretch every group turns about a fixed axis. In the frame of each bond its wrench from weight is then a constant plus waves in the
//! progress, so it stays within a known chord error of its chord. The utilisation (with touches: the optimal value of the cone programme) is a convex
//! function of these wrenches. On the chord it is therefore at most that of the worse end. Between two instants it is at most that of the worse end
//! with the chord error added to every demand. Halving the interval divides the chord error by four.

use super::Stretch;
use super::stretch::Group;
use crate::control::{Interrupt, Stopped};
use crate::geometry::Sweep;
use crate::math::{DVec3, LeastFirst, perpendicular_part, sin};
use crate::model::{Configuration, Hold, ModuleId};
use crate::statics::{DIRECTIONS, Driving, LoadCase, PosedCase, Utilisation, WarmStart};
use std::rc::Rc;

/// The worst utilisation over a stretch, and when it is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WorstUtilisation {
    /// Utilisation and excess; no instant of the stretch is worse by more than 1e-7.
    pub utilisation: Utilisation,
    /// Fraction of the stretch at which it is reached.
    pub share: f64,
    /// Bit set of the hops under way that are done.
    pub hops_done: usize,
}

impl WorstUtilisation {
    /// The utilisation where nothing is loaded.
    pub(crate) const NOTHING: Self = Self { utilisation: Utilisation::NOTHING, share: 0.0, hops_done: 0 };
}

/// The bracket is closed to this in utilisation, and in newtons for hard conditions.
const CLOSED: f64 = 1e-8;
/// Number of halvings after which a stretch counts as not carried.
const DEEPEST: u32 = 10;
/// Unit directions whose cross product is below this are parallel.
const PARALLEL: f64 = 1e-9;
/// Fractions closer than this are one instant.
const INSTANT: f64 = 1e-7;

impl Stretch<'_> {
    /// The load case at a fraction of the stretch, with every hop whose bit is set in `hops_done` on its new host.
    #[must_use]
    pub fn load_at(&self, share: f64, hops_done: usize) -> LoadCase {
        self.load_with_hops(self.at(share), hops_done)
    }

    /// The load case of a configuration in motion, with every hop whose bit is set in `hops_done` on its new host.
    pub(super) fn load_with_hops(&self, mut there: Configuration, hops_done: usize) -> LoadCase {
        for (bit, hop) in self.hops.iter().enumerate() {
            if hops_done >> bit & 1 == 1 {
                *there.get_mut(hop.mover) = hop.after;
            }
        }
        self.load_of(&there)
    }

    /// The utilisation at the end of the stretch with all hops done.
    pub(crate) fn worst_at_end(&self) -> Utilisation {
        self.load_at(1.0, (1 << self.hops.len().min(16)) - 1).worst()
    }

    /// The load case at the beginning with touches that hold on where a hopping shell slips.
    pub(crate) fn held_load(&self, hops_done: usize) -> LoadCase {
        let mut case = self.load_at(0.0, hops_done);
        case.touches.iter_mut().for_each(|touch| touch.slipping = None);
        case
    }

    fn load_of(&self, there: &Configuration) -> LoadCase {
        let problem = self.problem;
        let mut case = LoadCase::with_lifted(problem, there, self.counted_touches(there), &self.lifted);
        if self.shakes() {
            case = case.in_motion(problem, self.drives());
        }
        for planted in self.groups.iter().filter(|group| group.rolls).flat_map(|group| &group.members) {
            case = case.with_driven(problem, *planted, Driving::Slide, Hold::Rolling);
        }
        for group in &self.groups {
            let hold = self.start.get(group.mover).hold;
            for driving in group.driving.iter().flatten() {
                case = case.with_driven(problem, group.mover, *driving, hold);
            }
        }
        for hop in &self.hops {
            case = case.with_weakened(hop.mover, problem.kind(hop.mover).hop_hold);
        }
        case
    }

    /// Which of the hops under way may be done: bit sets.
    pub(crate) fn hop_variants(&self) -> std::ops::Range<usize> {
        self.variants()
    }

    pub(super) fn variants(&self) -> std::ops::Range<usize> {
        0..1 << self.hops.len().min(16)
    }

    /// Whether the load is carried at every instant with utilisations up to `limit`. A stretch that cannot be certified within the depth limit counts
    /// as not carried. Warm starts of similar cases are tried first.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub fn carries(
        &self,
        limit: f64,
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        self.carries_with(self.variants(), limit, hint, interrupt)
    }

    /// The same with some sets of hops done.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(crate) fn carries_with(
        &self,
        hops_done: std::ops::Range<usize>,
        limit: f64,
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        for hops in hops_done {
            if !self.carries_variant(hops, limit, hint, interrupt)? {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// The same with a given set of hops done.
    fn carries_variant(
        &self,
        hops: usize,
        limit: f64,
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        if self.strides() {
            return self.stride_carries(limit, interrupt);
        }
        let mut first = self.load_at(0.0, hops);
        let curvature_bounds = self.curvature_bounds(&first);
        if curvature_bounds.iter().all(|b| b[0] == 0.0 && b[1] == 0.0) {
            interrupt.go_on()?;
            return Ok(first.carries_warm(limit, hint));
        }
        let mut last = self.load_at(1.0, hops);
        let mut search = Certify { stretch: self, limit, hops, curvature_bounds, hint, interrupt };
        search.carries_between((0.0, &mut first), (1.0, &mut last), 0)
    }

    /// The worst utilisation over the stretch, certified.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub fn worst_utilisation(&self, interrupt: Interrupt<'_>) -> Result<WorstUtilisation, Stopped> {
        self.worse_than(WorstUtilisation::NOTHING, self.variants(), interrupt)
    }

    /// The worst of what is known and of the stretch, with some sets of hops done. It takes little time where the stretch is no worse than what is known.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(crate) fn worse_than(
        &self,
        known: WorstUtilisation,
        hops_done: std::ops::Range<usize>,
        interrupt: Interrupt<'_>,
    ) -> Result<WorstUtilisation, Stopped> {
        let mut worst = known;
        for hops in hops_done {
            self.search_worst(hops, &mut worst, interrupt)?;
        }
        Ok(worst)
    }

    fn search_worst(
        &self,
        hops: usize,
        worst: &mut WorstUtilisation,
        interrupt: Interrupt<'_>,
    ) -> Result<(), Stopped> {
        interrupt.go_on()?;
        if self.strides() {
            return self.stride_worst(worst, interrupt);
        }
        let first = Rc::new(PosedCase::new(self.load_at(0.0, hops)));
        let curvature_bounds = self.curvature_bounds(first.case());
        let still = curvature_bounds.iter().all(|b| b[0] == 0.0 && b[1] == 0.0);
        let mut search = WorstSearch { hops, curvature_bounds, worst, hint: WarmStart::default() };
        for direction in 0..DIRECTIONS {
            search.look(&first, direction, 0.0);
        }
        if still {
            return Ok(());
        }
        interrupt.go_on()?;
        let last = Rc::new(PosedCase::new(self.load_at(1.0, hops)));
        let mut open = LeastFirst::default();
        for direction in 0..DIRECTIONS {
            search.look(&last, direction, 1.0);
        }
        for direction in 0..DIRECTIONS {
            search.push(&mut open, direction, (0.0, 1.0), [&first, &last]);
        }
        while let Some(interval) = open.pop() {
            let (from, to) = interval.shares;
            if interval.is_closed(search.worst.utilisation) || to - from < INSTANT {
                continue;
            }
            interrupt.go_on()?;
            let middle = 0.5 * (from + to);
            let at_middle = Rc::new(PosedCase::new(self.load_at(middle, hops)));
            search.look(&at_middle, interval.direction, middle);
            let [at_from, at_to] = &interval.ends;
            search.push(&mut open, interval.direction, (from, middle), [at_from, &at_middle]);
            search.push(&mut open, interval.direction, (middle, to), [&at_middle, at_to]);
        }
        Ok(())
    }

    /// Curvature bound of every bond: upper bounds on the second derivatives of peel and slip demand by the progress, in newtons.
    pub(super) fn curvature_bounds(&self, case: &LoadCase) -> Vec<[f64; 2]> {
        let mut curvature_bounds = vec![[0.0; 2]; case.bonds.len()];
        for group in &self.groups {
            for (sum, bound) in curvature_bounds.iter_mut().zip(self.curvature_bounds_by(group, case)) {
                *sum = [sum[0] + bound[0], sum[1] + bound[1]];
            }
        }
        curvature_bounds
    }

    /// The contribution of one group to the curvature bounds.
    pub(super) fn curvature_bounds_by(&self, group: &Group, case: &LoadCase) -> Vec<[f64; 2]> {
        let mut curvature_bounds = vec![[0.0; 2]; case.bonds.len()];
        let Sweep::Turn { point, axis, angle } = group.sweep else { return curvature_bounds };
        let gravity = self.problem.site.gravity_mps2 * self.problem.limits.motion_factor;
        let sin_axis = axis.truncate().length();
        let across =
            gravity * (sin_axis + sin(self.problem.limits.moving_sway_rad() + case.rough_rad)).min(1.0);
        let squared = angle * angle;
        let below: Vec<ModuleId> = self.start.hosts_below(group.mover).filter_map(|b| b.module()).collect();
        let Some(own) = case.bonds.iter().find(|b| b.child == group.mover) else { return curvature_bounds };
        let from_sole = own.moment_kgm / own.mass_kg;
        let swing_about =
            |arm: DVec3| own.mass_kg * perpendicular_part(arm, axis).length() * gravity * squared;
        let swing = swing_about(own.sole + from_sole - point);
        for (bond, bound) in case.bonds.iter().zip(&mut curvature_bounds) {
            let about_its_normal = bond.child == group.mover && bond.normal.cross(axis).length() < PARALLEL;
            let (force, moment) = if about_its_normal {
                // The bond's normal and the forces stay; the centre of mass swings about the sole. Friction is isotropic around a foot, so it does
                // not matter that the foot turns.
                (0.0, swing_about(from_sole))
            } else if below.contains(&bond.child) {
                (0.0, swing)
            } else if group.members.contains(&bond.child) {
                // In the group's own frame gravity turns.
                (bond.mass_kg * across * squared, bond.moment_kgm.length() * across * squared)
            } else {
                continue;
            };
            *bound = bond.demand_bound(force, moment);
        }
        curvature_bounds
    }
}

/// Searches for an instant at which the load is not carried.
struct Certify<'a, 'b> {
    stretch: &'a Stretch<'b>,
    limit: f64,
    hops: usize,
    curvature_bounds: Vec<[f64; 2]>,
    hint: &'a mut WarmStart,
    interrupt: Interrupt<'a>,
}

impl Certify<'_, '_> {
    fn carries_between(
        &mut self,
        (from, at_from): (f64, &mut LoadCase),
        (to, at_to): (f64, &mut LoadCase),
        depth: u32,
    ) -> Result<bool, Stopped> {
        let chord_error = chord_error(to - from);
        if self.carries(at_from, chord_error)? && self.carries(at_to, chord_error)? {
            return Ok(true);
        }
        if depth >= DEEPEST {
            return Ok(false);
        }
        if depth == 0 && !(self.carries(at_from, 0.0)? && self.carries(at_to, 0.0)?) {
            return Ok(false);
        }
        let middle = 0.5 * (from + to);
        let mut at_middle = self.stretch.load_at(middle, self.hops);
        Ok(self.carries(&mut at_middle, 0.0)?
            && self.carries_between((from, at_from), (middle, &mut at_middle), depth + 1)?
            && self.carries_between((middle, &mut at_middle), (to, at_to), depth + 1)?)
    }

    /// Whether a case carries with its curvature bounds times a factor added to every demand.
    fn carries(&mut self, case: &mut LoadCase, share: f64) -> Result<bool, Stopped> {
        self.interrupt.go_on()?;
        case.set_margin(&self.curvature_bounds, share);
        Ok(case.carries_warm(self.limit, self.hint))
    }
}

/// The chord error of a demand over a width, per unit of its curvature bound.
pub(super) fn chord_error(width: f64) -> f64 {
    width * width / 8.0
}

/// A search for the worst utilisation with some of the hops done.
struct WorstSearch<'a> {
    hops: usize,
    curvature_bounds: Vec<[f64; 2]>,
    worst: &'a mut WorstUtilisation,
    hint: WarmStart,
}

impl WorstSearch<'_> {
    /// Looks at one direction at an instant. The exact utilisation is worked out only where it may be worse than the worst so far.
    fn look(&mut self, posed: &PosedCase, direction: usize, share: f64) {
        if posed.uses_at_most(direction, self.worst.utilisation, &mut self.hint) {
            return;
        }
        let utilisation = posed.utilisation(direction);
        let worst = &mut *self.worst;
        if utilisation.is_worse_than(worst.utilisation) {
            worst.share = share;
            worst.hops_done = self.hops;
        }
        worst.utilisation = worst.utilisation.worse(utilisation);
    }

    /// Keeps an interval in mind if it may hold something worse: by a bound from both ends, with the chord error added to every demand.
    fn push(
        &mut self,
        open: &mut LeastFirst<Interval>,
        direction: usize,
        shares: (f64, f64),
        ends: [&Rc<PosedCase>; 2],
    ) {
        let margin = chord_error(shares.1 - shares.0);
        let posed = ends.map(|end| end.with_margin(&self.curvature_bounds, margin));
        let worst = self.worst.utilisation;
        if posed.iter().all(|end| end.uses_at_most(direction, worst, &mut self.hint)) {
            return;
        }
        let ceiling = posed[0].utilisation(direction).worse(posed[1].utilisation(direction));
        let ranks = [-ceiling.excess_n.max(0.0), -ceiling.value];
        let ends = ends.map(Rc::clone);
        open.push(
            ranks,
            [direction as u64, shares.0.to_bits()],
            Interval { direction, shares, ceiling, ends },
        );
    }
}

/// A stretch of one direction that may still hold something worse.
#[derive(Clone, Debug)]
struct Interval {
    direction: usize,
    shares: (f64, f64),
    ceiling: Utilisation,
    /// The load cases at its ends.
    ends: [Rc<PosedCase>; 2],
}

impl Interval {
    fn is_closed(&self, found: Utilisation) -> bool {
        self.ceiling.value <= found.value + CLOSED
            && self.ceiling.excess_n <= found.excess_n.max(0.0) + CLOSED
    }
}
