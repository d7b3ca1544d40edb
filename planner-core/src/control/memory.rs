//! What kept configurations weigh. Reckoned, not measured, so that a limit stops a search at the same place on every run.

use super::{Budget, Stopped};
use std::sync::atomic::{AtomicU64, Ordering};

/// What an allocator adds to each block, and rounds up, in bytes: common practice of the trade.
const BLOCK: usize = 24;
/// Tables and lists grow to twice their size at once.
const GROWTH: usize = 2;
/// A table keeps a hash, and a place in its index, with each entry.
const ENTRY: usize = 24;

/// What is found side by side and waits until all of it is there.
#[derive(Debug)]
pub(crate) struct Waiting {
    room: u64,
    bytes: AtomicU64,
}

impl Waiting {
    /// For what a budget leaves beside what is kept.
    pub(crate) fn beside(kept: u64, budget: &Budget<'_>) -> Self {
        Self { room: budget.bytes.saturating_sub(kept), bytes: AtomicU64::new(0) }
    }

    /// Counts what was found. If all of it together has no room somebody is told so, whatever the order.
    pub(crate) fn add(&self, bytes: usize) -> Result<(), Stopped> {
        let before = self.bytes.fetch_add(bytes as u64, Ordering::Relaxed);
        if before + bytes as u64 > self.room { Err(Stopped::Full) } else { Ok(()) }
    }
}

/// A row of a growing list.
pub(crate) const fn row<T>() -> usize {
    GROWTH * size_of::<T>()
}

/// An entry of a growing table or set, what it owns apart.
pub(crate) const fn entry<T>() -> usize {
    GROWTH * (size_of::<T>() + ENTRY)
}

/// A list of its own.
pub(crate) const fn list<T>(length: usize) -> usize {
    BLOCK + length * size_of::<T>()
}
