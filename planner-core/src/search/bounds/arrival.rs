//! A lower bound on the time until a module stands on a deck that no module can step onto by itself.
//!
//! The *depth* of a module is the number of bonds between it and the deck its chain of hosts ends on. Only its own hop changes it: a module that
//! carries another does not hop. After a hop a module's depth is one more than that of its new host, and the new host stands still meanwhile. So
//! after `k` hop times no depth exceeds the greatest initial depth by more than `k`. A chain from one deck to a place on another has at least `apart
//! / bond length` bonds, so the first arrival takes that many hops and one more.

use super::stances::{Sizes, bonds_between};
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
    // Each round settles at least one deck, because times only grow along the way.
    for _ in 0..hops.len() {
        for to in problem.ground_ids() {
            for from in problem.ground_ids().filter(|from| *from != to) {
                if problem.are_linked(from, to) {
                    hops[to.index()] = hops[to.index()].min(hops[from.index()]);
                    continue;
                }
                let bonds = bonds_between(problem, sizes, from, to);
                if bonds >= problem.modules.len() {
                    continue;
                }
                let there = deepest[from.index()].unwrap_or(0);
                let arrival = hops[from.index()] + bonds.saturating_sub(there) as f64 + 1.0;
                hops[to.index()] = hops[to.index()].min(arrival);
            }
        }
    }
    hops
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
