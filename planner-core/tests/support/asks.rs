//! Callers that say stop at a certain ask. No clock: asks are counted.

use clamber_core::Interrupt;
use clamber_core::unstable::control::{Budget, Stopped};
use std::sync::atomic::{AtomicU64, Ordering};

/// Says stop from the k-th ask on, and counts.
pub(crate) struct Asks {
    from: u64,
    stop: Stopped,
    count: AtomicU64,
}

impl Asks {
    pub(crate) const fn new(from: u64, stop: Stopped) -> Self {
        Self { from, stop, count: AtomicU64::new(0) }
    }

    pub(crate) fn answer(&self) -> Option<Stopped> {
        (self.count.fetch_add(1, Ordering::Relaxed) + 1 >= self.from).then_some(self.stop)
    }

    pub(crate) fn count(&self) -> u64 {
        self.count.load(Ordering::Relaxed)
    }
}

/// Runs with an interrupt from the k-th ask on; also gives the asks that came after it, if there were so many.
pub(crate) fn interrupted<T>(
    from: u64,
    stop: Stopped,
    run: impl FnOnce(&Budget<'_>) -> T,
) -> (T, Option<u64>) {
    let asks = Asks::new(from, stop);
    let interrupt = || asks.answer();
    let found = run(&Budget { interrupt: Interrupt::new(&interrupt), ..Budget::unlimited() });
    (found, asks.count().checked_sub(from))
}
