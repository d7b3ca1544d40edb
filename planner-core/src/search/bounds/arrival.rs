//! A lower bound on the time until a module stands on a deck that no module can step onto by itself.
//!
//! The *depth* of a module is the number of bonds between it and the deck its chain of hosts ends on. Only its own hop changes it: a module that
//! carries another does not hop. After a hop a module's depth is one more than that of its new host, and the new host stands still meanwhile. So
//! after `k` hop times no depth exceeds the greatest initial depth by more than `k`. A chain from one deck to a place on another has at least `apart
//! / bond length` bonds, so the first arrival takes that many hops and one more.

use super::stances::{PLAY_M, Sizes, bonds_between};
use crate::geometry::Bounds;
use crate::math::LeastFirst;
use crate::model::{Body, Configuration, GroundId, ModuleId, Problem, SlotPlace};

/// The arrival bound in seconds; 0 if it does not apply.
pub(super) fn arrival_bound_s(problem: &Problem) -> f64 {
    let sizes = Sizes::new(problem);
    let hops = first_arrivals(problem, &sizes);
    let gather = gather_hops(problem, &sizes, &hops);
    let slots = problem.goal.slots.iter().filter_map(|slot| match slot.place {
        SlotPlace::OnGround(deck, _) => Some(hops[deck.index()]),
        SlotPlace::OnSlot(..) => None,
    });
    slots.fold(gather, f64::max) * sizes.hop_s
}

/// The deck that a module's chain of hosts ends on.
fn ground(start: &Configuration, module: ModuleId) -> Option<GroundId> {
    start.hosts_below(module).find_map(Body::ground)
}

/// Number of hops before any module can stand on each deck; infinite for a deck that no module can reach.
pub(in crate::search) fn first_arrivals(problem: &Problem, sizes: &Sizes) -> Vec<f64> {
    let start = &problem.start;
    // The greatest initial depth, for each deck that modules stand on.
    let mut deepest: Vec<Option<usize>> = vec![None; problem.decks.len()];
    for module in problem.module_ids() {
        if let Some(deck) = ground(start, module) {
            let depth = start.hosts_below(module).filter(|b| b.module().is_some()).count();
            let known = &mut deepest[deck.index()];
            *known = Some(known.unwrap_or(0).max(depth));
        }
    }
    let mut hops: Vec<f64> =
        deepest.iter().map(|depth| if depth.is_some() { 0.0 } else { f64::INFINITY }).collect();
    // Dijkstra's algorithm. On a site of many decks the boxes around them show that most are too far off.
    let prints: Vec<Footprint> =
        problem.ground_ids().map(|ground| Footprint::new(problem, sizes, ground)).collect();
    let mut open = LeastFirst::default();
    for ground in problem.ground_ids().filter(|ground| hops[ground.index()] == 0.0) {
        open.push([0.0; 2], [ground.index() as u64, 0], ground);
    }
    let mut is_settled = vec![false; hops.len()];
    while let Some(from) = open.pop() {
        if std::mem::replace(&mut is_settled[from.index()], true) {
            continue;
        }
        let there = deepest[from.index()].unwrap_or(0);
        let arrival = |bonds: usize| hops[from.index()] + bonds.saturating_sub(there) as f64 + 1.0;
        let mut better = Vec::new();
        for to in problem.ground_ids().filter(|to| !is_settled[to.index()]) {
            let known = hops[to.index()];
            let is_worth = |bonds: usize| bonds < problem.modules.len() && arrival(bonds) < known;
            if problem.are_linked(from, to) {
                better.extend((hops[from.index()] < known).then(|| (to, hops[from.index()])));
            } else if is_worth(prints[from.index()].fewest_bonds(&prints[to.index()], sizes)) {
                let bonds = bonds_between(problem, sizes, from, to);
                better.extend(is_worth(bonds).then(|| (to, arrival(bonds))));
            }
        }
        for (to, at) in better {
            hops[to.index()] = at;
            open.push([at, 0.0], [to.index() as u64, 0], to);
        }
    }
    hops
}

/// Where a ground is seen from above, roughly.
struct Footprint {
    /// The box around it, at no height.
    bounds: Bounds,
    /// How far aside of their soles centres on it are at most, in metres.
    aside_m: f64,
}

impl Footprint {
    fn new(problem: &Problem, sizes: &Sizes, ground: GroundId) -> Self {
        let corners = problem.decks_of(ground).flat_map(|deck| deck.solid.outline.iter());
        let slope = problem.ground(ground).plane.normal.truncate().length();
        Self { bounds: Bounds::of(corners.map(|at| at.extend(0.0))), aside_m: sizes.ride_m[1] * slope }
    }

    /// No more bonds than [`bonds_between`] says.
    fn fewest_bonds(&self, other: &Self, sizes: &Sizes) -> usize {
        let apart_m = self.bounds.distance_to(&other.bounds) - self.aside_m - other.aside_m;
        ((apart_m - PLAY_M) / sizes.bond_m[1]).ceil().max(1.0) as usize
    }
}

/// Number of hops until enough modules have gathered.
///
/// If all modules are to gather and none has a host there yet, one of them is the last to leave the other decks. It hops onto a chain that ends on
/// the deck to gather on. This chain, with the last module on it, is at least as long as the distance between the decks. It began with the first
/// arrival and grew by one hop for each bond. Then all of it has to climb, each module after those that stand on it.
fn gather_hops(problem: &Problem, sizes: &Sizes, arrivals: &[f64]) -> f64 {
    let Some(gather) = problem.goal.gather else { return 0.0 };
    let start = &problem.start;
    let linked = |ground: &GroundId| problem.are_linked(*ground, gather.ground);
    let there = problem.ground_ids().filter(linked);
    if there.map(|ground| start.standing_on(Body::Ground(ground)).count()).sum::<usize>() >= gather.count {
        return 0.0;
    }
    let first = arrivals[gather.ground.index()];
    let all_come = gather.count == problem.modules.len()
        && problem
            .module_ids()
            .all(|m| ground(start, m).is_some_and(|deck| !problem.are_linked(deck, gather.ground)));
    if !all_come {
        return first.max(1.0);
    }
    let others = problem.ground_ids().filter(|deck| !problem.are_linked(*deck, gather.ground));
    let bonds = others.map(|deck| bonds_between(problem, sizes, deck, gather.ground)).min().unwrap_or(0);
    first + 2.0 * bonds as f64
}
