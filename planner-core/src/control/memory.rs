//! Memory of stored configurations. Estimated, not measured, so that a limit stops a search at the same place on every run.

use super::{Budget, Stopped};
use std::sync::atomic::{AtomicU64, Ordering};

/// Overhead of an allocator for each block, with rounding, in bytes: a typical value.
const BLOCK: usize = 24;
/// Growth factor of tables and lists.
const GROWTH: usize = 2;
/// Overhead of a table entry, in bytes: its hash, and its place in the index.
const ENTRY: usize = 24;

/// Memory of results that are found in parallel and held until all of them are there.
#[derive(Debug)]
pub(crate) struct Waiting {
    room: u64,
    bytes: AtomicU64,
}

impl Waiting {
    /// The memory that a budget leaves besides what is in use.
    pub(crate) fn beside(kept: u64, budget: &Budget<'_>) -> Self {
        Self { room: budget.bytes.saturating_sub(kept), bytes: AtomicU64::new(0) }
    }

    /// Counts a result. If all results together exceed the limit, at least one caller gets an error, in any order.
    pub(crate) fn add(&self, bytes: usize) -> Result<(), Stopped> {
        let before = self.bytes.fetch_add(bytes as u64, Ordering::Relaxed);
        if before + bytes as u64 > self.room { Err(Stopped::Full) } else { Ok(()) }
    }
}

/// Bytes of a row of a growing list.
pub(crate) const fn row<T>() -> usize {
    GROWTH * size_of::<T>()
}

/// Bytes of an entry of a growing table or set, without heap memory that the entry owns.
pub(crate) const fn entry<T>() -> usize {
    GROWTH * (size_of::<T>() + ENTRY)
}

/// Bytes of a separate list.
pub(crate) const fn list<T>(length: usize) -> usize {
    BLOCK + length * size_of::<T>()
}
