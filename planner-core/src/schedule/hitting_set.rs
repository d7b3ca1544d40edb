//! Minimum-cost hitting sets by branch and bound.

use crate::control::{Interrupt, Stopped};
use fixedbitset::FixedBitSet;

/// A hitting set, its cost and a lower bound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Hitting {
    /// The members, in order.
    pub(super) chosen: Vec<usize>,
    /// Their cost.
    pub(super) cost: usize,
    /// A lower bound on the cost of any hitting set; equal to `cost` unless the search was cut short.
    pub(super) at_least: usize,
}

/// The cheapest set with a member in each of `sets`, or the cheapest found within `most` branches. No set may be empty.
///
/// Branches on the members of an unhit set with the fewest remaining members. Disjoint sets bound the rest from below.
pub(super) fn least_hitting_set(
    costs: &[usize],
    sets: &[Vec<usize>],
    most: usize,
    interrupt: Interrupt<'_>,
) -> Result<Hitting, Stopped> {
    let best = greedy(costs, sets);
    let mut search = Search { costs, sets, best, left: most, open_bound: usize::MAX, interrupt };
    let none = FixedBitSet::with_capacity(costs.len());
    search.branch(&none, &none, 0)?;
    let (cost, chosen) = search.best;
    Ok(Hitting { at_least: cost.min(search.open_bound), chosen: chosen.ones().collect(), cost })
}

struct Search<'a> {
    costs: &'a [usize],
    sets: &'a [Vec<usize>],
    best: (usize, FixedBitSet),
    left: usize,
    /// The least bound of a branch that was not searched.
    open_bound: usize,
    interrupt: Interrupt<'a>,
}

impl Search<'_> {
    fn branch(&mut self, chosen: &FixedBitSet, barred: &FixedBitSet, cost: usize) -> Result<(), Stopped> {
        let mut missed: Vec<Vec<usize>> = self
            .sets
            .iter()
            .filter(|set| !set.iter().any(|&v| chosen.contains(v)))
            .map(|set| set.iter().copied().filter(|&v| !barred.contains(v)).collect())
            .collect();
        missed.sort_by_key(Vec::len);
        let Some(bound) = self.rest_at_least(&missed) else { return Ok(()) };
        if cost + bound >= self.best.0 {
            return Ok(());
        }
        let Some(set) = missed.first() else {
            self.best = (cost, chosen.clone());
            return Ok(());
        };
        if self.left == 0 {
            self.open_bound = self.open_bound.min(cost + bound);
            return Ok(());
        }
        self.interrupt.go_on()?;
        self.left -= 1;
        let mut barred = barred.clone();
        for &member in set {
            let mut with = chosen.clone();
            with.insert(member);
            self.branch(&with, &barred, cost + self.costs[member])?;
            barred.insert(member);
        }
        Ok(())
    }

    /// A lower bound on the cost of hitting these sets, fewest members first; `None` if one has no member left.
    fn rest_at_least(&self, sets: &[Vec<usize>]) -> Option<usize> {
        let mut used = FixedBitSet::with_capacity(self.costs.len());
        let mut bound = 0;
        for set in sets {
            let cheapest = set.iter().map(|&v| self.costs[v]).min()?;
            if !set.iter().any(|&v| used.contains(v)) {
                bound += cheapest;
                used.extend(set.iter().copied());
            }
        }
        Some(bound)
    }
}

/// Repeatedly takes the member that hits most sets for its cost.
fn greedy(costs: &[usize], sets: &[Vec<usize>]) -> (usize, FixedBitSet) {
    let mut chosen = FixedBitSet::with_capacity(costs.len());
    loop {
        let missed: Vec<&Vec<usize>> =
            sets.iter().filter(|set| !set.iter().any(|&v| chosen.contains(v))).collect();
        let hits = |v: usize| missed.iter().filter(|set| set.contains(&v)).count();
        // The greatest hits / cost, compared crosswise; the first of equals.
        let best = (0..costs.len())
            .filter(|&v| hits(v) > 0)
            .reduce(|a, b| if hits(b) * costs[a].max(1) > hits(a) * costs[b].max(1) { b } else { a });
        let Some(best) = best else { break };
        chosen.insert(best);
    }
    (chosen.ones().map(|v| costs[v]).sum(), chosen)
}
