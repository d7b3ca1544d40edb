//! Deferred drop: frees the memory of a finished search. Freeing millions of configurations would exceed the acceptable interrupt latency, so after
//! an interrupt a separate thread frees them. Otherwise they are freed at once, so that the next search has the memory.

use super::Interrupt;

/// Rows freed between two polls of the interrupt: a few milliseconds.
const PIECE: usize = 4096;

/// Data stored by a search.
pub(crate) trait Kept: Send + 'static {
    /// Frees the last `rows` rows, or as many as there are; returns whether any are left.
    fn shrink(&mut self, rows: usize) -> bool;
}

/// Frees the data; after an interrupt, the rest of it in a separate thread.
pub(crate) fn free(mut kept: impl Kept, interrupt: Interrupt<'_>) {
    while kept.shrink(PIECE) {
        if interrupt.asked().is_some() {
            // If no thread can be started, the rest is freed here, with the closure.
            let _ = std::thread::Builder::new().name("freeing".into()).spawn(move || drop(kept));
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::Stopped;
    use std::sync::atomic::{AtomicU64, Ordering};
    use std::sync::mpsc::{Sender, channel};
    use std::thread::{ThreadId, current};

    /// Rows that report the thread, and the number of rows, when they are freed.
    struct Rows(usize, Sender<(ThreadId, usize)>);

    impl Kept for Rows {
        fn shrink(&mut self, rows: usize) -> bool {
            let freed = rows.min(self.0);
            self.0 -= freed;
            let _ = self.1.send((current().id(), freed));
            self.0 > 0
        }
    }

    impl Drop for Rows {
        fn drop(&mut self) {
            let _ = self.1.send((current().id(), self.0));
        }
    }

    /// For each of ten pieces, whether this thread freed it and its size, if a stop is signalled at a given poll.
    fn freed(from: u64) -> Vec<(bool, usize)> {
        let asks = AtomicU64::new(0);
        let interrupt = || (asks.fetch_add(1, Ordering::Relaxed) + 1 >= from).then_some(Stopped::Cancelled);
        let (sender, receiver) = channel();
        free(Rows(10 * PIECE, sender), Interrupt::new(&interrupt));
        receiver.into_iter().map(|(thread, rows)| (thread == current().id(), rows)).collect()
    }

    #[test]
    fn nobody_who_has_said_stop_waits_for_it() {
        assert_eq!(freed(1), [(true, PIECE), (false, 9 * PIECE)]);
        assert_eq!(freed(3), [(true, PIECE), (true, PIECE), (true, PIECE), (false, 7 * PIECE)]);
    }

    #[test]
    fn else_it_is_done_at_once() {
        let all = freed(u64::MAX);
        assert!(all.iter().all(|(here, _)| *here), "{all:?}");
        assert_eq!(all.iter().map(|(_, rows)| rows).sum::<usize>(), 10 * PIECE);
    }
}
