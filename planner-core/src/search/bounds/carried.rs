//! A lower bound on the time in which a module can fill a slot, carried or not.
//!
//! A module stands at the end of a chain of bonds whose *root* stands on a deck. Its host carries it and so does not hop: between two of its own hops
//! its chain stays the same. The chain may swing arbitrarily fast, because the curvature of slides has no limit. But the module stays within `depth ·
//! bond length` of the root, and the root drives no faster than its own sole. While a module hops onto or off a chain, the root of that chain stands.
//! Take hops 1 to k, depths d₀ at the start, d₁ … d₍k₋₁₎ between and D at the end, and roots that are X apart at the start and at the end. Then
//!
//! `X ≤ v · (T − k · hop) + bond · (d₀ + 2 (d₁ + … + d₍k₋₁₎) + D)`.
//!
//! A chain grows by at most one bond in a hop time: after n hop times no depth exceeds n plus the greatest initial depth.

use super::slots::root_of;
use super::stances::Sizes;
use crate::math::{asin, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem, SlotPlace};

/// Horizon of the bound, in hop times: longer sequences of hops are not examined.
const MOST_TIMES: usize = 64;

/// Quantities that are the same for all pairs of slot and module.
pub(super) struct Carried<'a> {
    problem: &'a Problem,
    /// Least duration of a hop, in seconds.
    hop_s: f64,
    /// Whether a machine that stands at the start may stride: its root changes grounds without a hop.
    strides: bool,
    /// Greatest distance between the two centres that a bond joins, in metres.
    bond_m: f64,
    /// Greatest speed of a root, in metres per second.
    speed_mps: f64,
    /// Greatest initial depth.
    deepest: usize,
}

impl<'a> Carried<'a> {
    pub(super) fn new(problem: &'a Problem) -> Self {
        let sizes = Sizes::new(problem);
        let speeds = problem.module_ids().map(|m| problem.kind(m).slide_speed_mps);
        let depths = problem.module_ids().map(|m| depth(&problem.start, m));
        let strides = can_stride(problem);
        // What rides on balls that roll goes by the crank's length for every radius that they roll, and at most by that of a bond.
        let smallest_m =
            problem.module_ids().map(|m| problem.kind(m).shell_radius_m).fold(f64::INFINITY, f64::min);
        let faster = if strides { 1.0 + sizes.bond_m[1] / smallest_m } else { 1.0 };
        Self {
            problem,
            strides,
            hop_s: sizes.hop_s,
            bond_m: sizes.bond_m[1],
            speed_mps: faster * speeds.fold(0.0, f64::max),
            deepest: depths.max().unwrap_or(0),
        }
    }

    /// Least time in which a module fills a slot, in seconds; infinite if it may not.
    pub(super) fn time_s(&self, slot: usize, module: ModuleId) -> f64 {
        if !self.problem.slot_takes(&self.problem.goal.slots[slot], module) {
            return f64::INFINITY;
        }
        let (deck, at, depth_there) = root_of(self.problem, slot);
        let start = &self.problem.start;
        let depth_here = depth(start, module);
        let bodies = std::iter::once(module).chain(start.hosts_below(module).filter_map(Body::module));
        let Some(root) = bodies.last() else { return 0.0 };
        let on_same_deck = self.strides
            || start.get(root).host.ground().is_some_and(|from| self.problem.are_linked(from, deck));
        let apart_m = (start.get(root).position.truncate().distance(at) - tolerance::SLOT_M).max(0.0);
        let mut least_s = f64::INFINITY;
        // Without a hop of its own it stays on its chain, and the chain's root stays on its deck.
        if on_same_deck && depth_here == depth_there {
            least_s = apart_m / self.speed_mps;
        }
        let both = depth_here + depth_there;
        if both > 0 {
            let swung_m = self.bond_m * both as f64;
            let drive_s = self.last_drive_s(slot, module);
            let once_s = self.hop_s + drive_s + (apart_m - swung_m).max(0.0) / self.speed_mps;
            least_s = least_s.min(once_s);
        }
        self.with_more_hops_s(apart_m, both).min(least_s)
    }

    /// The same for two or more hops.
    fn with_more_hops_s(&self, apart_m: f64, depths: usize) -> f64 {
        let most = self.problem.modules.len().saturating_sub(1);
        for times in 2..MOST_TIMES {
            let (begin_s, end_s) = (times as f64 * self.hop_s, (times + 1) as f64 * self.hop_s);
            let within = |hops: usize| {
                // The hop after which the depth is counted ends that many hop times before the end.
                let depth = |after: usize| (self.deepest + times - after).min(most);
                let between: usize = (1..hops).map(depth).sum();
                let swung_m = self.bond_m * (depths + 2 * between) as f64;
                hops as f64 * self.hop_s + (apart_m - swung_m).max(0.0) / self.speed_mps
            };
            let least_s = (2..=times).map(within).fold(f64::INFINITY, f64::min).max(begin_s);
            if least_s < end_s {
                return least_s;
            }
        }
        // No shorter time is possible.
        MOST_TIMES as f64 * self.hop_s
    }

    /// With a single hop, from a deck onto a host that itself stands on a deck: the time to drive on the host's shell from the height at which the
    /// hop ends to the height of the slot. No other module can change this angle, and the host stands while it changes.
    fn last_drive_s(&self, slot: usize, module: ModuleId) -> f64 {
        let (problem, start) = (self.problem, self.problem.start.get(module));
        let SlotPlace::OnSlot(below, toward) = problem.goal.slots[slot].place else { return 0.0 };
        let (SlotPlace::OnGround(deck, _), Body::Ground(from)) =
            (problem.goal.slots[below.index()].place, start.host)
        else {
            return 0.0;
        };
        if !problem.is_one_size() || !problem.is_plain() || self.strides {
            return 0.0;
        }
        let kind = problem.kind(module);
        let rise_m = problem.ground(from).height_m() - problem.ground(deck).height_m();
        if rise_m.abs() > self.bond_m + tolerance::LENGTH_M {
            return f64::INFINITY;
        }
        let angle = (asin(toward.z.clamp(-1.0, 1.0)) - asin((rise_m / self.bond_m).clamp(-1.0, 1.0))).abs();
        let sure = (angle - 3.0 * tolerance::SLOT_M / self.bond_m).max(0.0);
        kind.shell_radius_m * sure / kind.slide_speed_mps
    }
}

/// Fewest modules of a machine that strides: a hub and three ends, of which no three stand alike on one host.
const FEWEST: usize = 5;

/// Whether a machine may stride: one whose legs could reach the ground stands at the start, or the crew could form one and the goal wants modules on
/// ground to which none drives from where the crew stands.
pub(crate) fn can_stride(problem: &Problem) -> bool {
    let start = &problem.start;
    let is_end = |id: &ModuleId| start.get(*id).host.module().is_some() && !start.is_stood_on(*id);
    let on_ground = |id: &ModuleId| start.get(*id).host.ground();
    let stands = problem
        .module_ids()
        .filter(|id| on_ground(id).is_some_and(|ground| !problem.ground(ground).surfacing.ferrous))
        .any(|hub| {
            let machine = start.carried_with(hub);
            machine.len() >= FEWEST && machine.iter().filter(|id| is_end(id)).count() >= 3
        });
    let is_cut_off = |ground| {
        problem.module_ids().filter_map(|id| on_ground(&id)).all(|from| !problem.are_linked(from, ground))
    };
    stands
        || problem.modules.len() >= FEWEST
            && problem.goal.slots.iter().any(|slot| match slot.place {
                SlotPlace::OnGround(ground, _) => is_cut_off(ground),
                SlotPlace::OnSlot(..) => false,
            })
}

/// Number of bonds between a module and the deck.
fn depth(configuration: &Configuration, module: ModuleId) -> usize {
    configuration.hosts_below(module).filter(|host| host.module().is_some()).count()
}
