//! Gives back the memory of a search that is over. Millions of configurations take longer to free than somebody who has said stop waits for an
//! answer: then a thread of its own does it. Else it is done at once, so that the next search finds the memory free.

use super::Budget;

/// Rows freed between two asks: a few milliseconds.
const PIECE: usize = 4096;

/// What a search has kept.
pub(super) trait Kept: Send + 'static {
    /// Frees the last `rows` rows, or as many as there are; whether any are left.
    fn shrink(&mut self, rows: usize) -> bool;
}

/// Frees what was kept.
pub(super) fn free(mut kept: impl Kept, budget: &Budget<'_>) {
    while kept.shrink(PIECE) {
        if (budget.interrupt)().is_some() {
            // Where there is no thread to be had, what is left is freed here, with the closure.
            let _ = std::thread::Builder::new().name("freeing".into()).spawn(move || drop(kept));
            return;
        }
    }
}
