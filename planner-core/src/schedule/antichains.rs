//! All maximal sets of steps that can be under way together.

use crate::control::Stopped;
use fixedbitset::FixedBitSet;

/// Calls `visit` with every maximal set of members of `candidates` that are pairwise `unordered`; ends early when it returns `false`. Returns whether
/// all were visited, each with `true`, and there were no more than `most`. An interruption of `visit` is passed on.
///
/// The maximal cliques of a graph by Bron and Kerbosch (1973) with the pivot of Tomita, Tanaka and Takahashi (2006).
pub(super) fn for_each_maximal(
    candidates: &[usize],
    unordered: impl Fn(usize, usize) -> bool,
    most: usize,
    mut visit: impl FnMut(&[usize]) -> Result<bool, Stopped>,
) -> Result<bool, Stopped> {
    let count = candidates.len();
    let mut beside = vec![FixedBitSet::with_capacity(count); count];
    for a in 0..count {
        for b in 0..a {
            if unordered(candidates[a], candidates[b]) {
                beside[a].insert(b);
                beside[b].insert(a);
            }
        }
    }
    let mut all = FixedBitSet::with_capacity(count);
    all.insert_range(..);
    let mut search = Cliques { candidates, beside: &beside, chosen: Vec::new(), left: most };
    search.grow(all, FixedBitSet::with_capacity(count), &mut visit)
}

struct Cliques<'a> {
    candidates: &'a [usize],
    beside: &'a [FixedBitSet],
    chosen: Vec<usize>,
    left: usize,
}

impl Cliques<'_> {
    fn grow(
        &mut self,
        mut open: FixedBitSet,
        mut done: FixedBitSet,
        visit: &mut impl FnMut(&[usize]) -> Result<bool, Stopped>,
    ) -> Result<bool, Stopped> {
        if open.is_clear() {
            if !done.is_clear() {
                return Ok(true);
            }
            if self.left == 0 {
                return Ok(false);
            }
            self.left -= 1;
            return visit(&self.chosen);
        }
        let pivot =
            open.union(&done).max_by_key(|&p| (open.intersection_count(&self.beside[p]), usize::MAX - p));
        let branches: Vec<usize> = match pivot {
            Some(pivot) => open.difference(&self.beside[pivot]).collect(),
            None => open.ones().collect(),
        };
        for at in branches {
            let mut next = open.clone();
            next.intersect_with(&self.beside[at]);
            let mut passed = done.clone();
            passed.intersect_with(&self.beside[at]);
            self.chosen.push(self.candidates[at]);
            let all_visited = self.grow(next, passed, visit)?;
            self.chosen.pop();
            if !all_visited {
                return Ok(false);
            }
            open.remove(at);
            done.insert(at);
        }
        Ok(true)
    }
}
