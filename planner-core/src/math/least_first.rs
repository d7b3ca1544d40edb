//! A priority queue, least item first.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// A priority queue of items by two ranks, least first; equal ranks are ordered by two integers, least first. The order depends on nothing else, so
/// it is the same on every machine.
#[derive(Clone, Debug)]
pub struct LeastFirst<T> {
    heap: BinaryHeap<Entry<T>>,
}

#[derive(Clone, Debug)]
struct Entry<T> {
    ranks: [f64; 2],
    ties: [u64; 2],
    item: T,
}

impl<T> Default for LeastFirst<T> {
    fn default() -> Self {
        Self { heap: BinaryHeap::new() }
    }
}

impl<T> LeastFirst<T> {
    /// An empty queue with room for so many items.
    #[must_use]
    pub fn with_capacity(items: usize) -> Self {
        Self { heap: BinaryHeap::with_capacity(items) }
    }

    /// Adds an item.
    pub fn push(&mut self, ranks: [f64; 2], ties: [u64; 2], item: T) {
        self.heap.push(Entry { ranks, ties, item });
    }

    /// Removes the least item.
    pub fn pop(&mut self) -> Option<T> {
        self.heap.pop().map(|entry| entry.item)
    }

    /// Removes the least item and returns it with its ranks.
    pub fn pop_ranked(&mut self) -> Option<([f64; 2], T)> {
        self.heap.pop().map(|entry| (entry.ranks, entry.item))
    }

    /// The ranks of the least item.
    #[must_use]
    pub fn peek_ranks(&self) -> Option<[f64; 2]> {
        self.heap.peek().map(|entry| entry.ranks)
    }

    /// The least item.
    #[must_use]
    pub fn peek(&self) -> Option<&T> {
        self.heap.peek().map(|entry| &entry.item)
    }
}

impl<T> PartialEq for Entry<T> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl<T> Eq for Entry<T> {}

impl<T> PartialOrd for Entry<T> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl<T> Ord for Entry<T> {
    /// The order is reversed: the greatest entry of the heap is the least item.
    fn cmp(&self, other: &Self) -> Ordering {
        let by_rank = |k: usize| other.ranks[k].total_cmp(&self.ranks[k]);
        by_rank(0).then_with(|| by_rank(1)).then_with(|| other.ties.cmp(&self.ties))
    }
}
