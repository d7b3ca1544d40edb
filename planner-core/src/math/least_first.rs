//! A priority queue, least item first.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A priority queue of items by some ranks, two if not said otherwise, least first; equal ranks are ordered by two integers, least first. The order depends on nothing else, so
/// it is the same on every machine.
#[derive(Clone, Debug)]
pub struct LeastFirst<T, const RANKS: usize = 2> {
    heap: BinaryHeap<Entry<T, RANKS>>,
}

#[derive(Clone, Debug)]
struct Entry<T, const RANKS: usize> {
    ranks: [f64; RANKS],
    ties: [u64; 2],
    item: T,
}

impl<T, const RANKS: usize> Default for LeastFirst<T, RANKS> {
    fn default() -> Self {
        Self { heap: BinaryHeap::new() }
    }
}

impl<T, const RANKS: usize> LeastFirst<T, RANKS> {
    /// An empty queue with room for so many items.
    #[must_use]
    pub fn with_capacity(items: usize) -> Self {
        Self { heap: BinaryHeap::with_capacity(items) }
    }

    /// Adds an item.
    pub fn push(&mut self, ranks: [f64; RANKS], ties: [u64; 2], item: T) {
        self.heap.push(Entry { ranks, ties, item });
    }

    /// Removes the least item.
    pub fn pop(&mut self) -> Option<T> {
        self.heap.pop().map(|entry| entry.item)
    }

    /// Removes the least item and returns it with its ranks.
    pub fn pop_ranked(&mut self) -> Option<([f64; RANKS], T)> {
        self.heap.pop().map(|entry| (entry.ranks, entry.item))
    }

    /// The ranks of the least item.
    #[must_use]
    pub fn peek_ranks(&self) -> Option<[f64; RANKS]> {
        self.heap.peek().map(|entry| entry.ranks)
    }

    /// The least item.
    #[must_use]
    pub fn peek(&self) -> Option<&T> {
        self.heap.peek().map(|entry| &entry.item)
    }
}

impl<T, const RANKS: usize> PartialEq for Entry<T, RANKS> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl<T, const RANKS: usize> Eq for Entry<T, RANKS> {}

impl<T, const RANKS: usize> PartialOrd for Entry<T, RANKS> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<T, const RANKS: usize> Ord for Entry<T, RANKS> {
    /// The order is reversed: the greatest entry of the heap is the least item.
    fn cmp(&self, other: &Self) -> Ordering {
        let by_rank = (0..RANKS).map(|k| other.ranks[k].total_cmp(&self.ranks[k]));
        by_rank.fold(Ordering::Equal, Ordering::then).then_with(|| other.ties.cmp(&self.ties))
    }
}
