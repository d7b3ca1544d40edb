//! How the caller controls a running solve and receives its progress.

use crate::control::Stopped;
use crate::search::Statistics;

/// What the caller wants next, returned by the signal of a [`Control`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Signal {
    /// Go on: more time may improve the answer.
    GoOn,
    /// Stop looking for anything better. What an answer needs is still completed: the timing and the check of the best trips found so far.
    Finish,
    /// Return at once, with the best plan that has passed the check.
    StopNow,
}

/// How a caller controls [`solve`](crate::solve()) and receives its progress. The library reads no clock: a time limit enters only here.
///
/// ```
/// use clamber_core::{Control, Signal};
/// use std::time::{Duration, Instant};
///
/// let deadline = Instant::now() + Duration::from_secs(10);
/// let signal = || if Instant::now() < deadline { Signal::GoOn } else { Signal::Finish };
/// let control = Control::new(&signal);
/// # let _ = control;
/// ```
#[derive(Clone, Copy)]
pub struct Control<'a> {
    signal: &'a (dyn Fn() -> Signal + Sync),
    progress: &'a (dyn Fn(&Progress) + Sync),
}

impl<'a> Control<'a> {
    /// Control by `signal`, which is called often and from any thread. It has to be fast. Once it returns [`Signal::Finish`] or [`Signal::StopNow`]
    /// it has to keep doing so; it may change from the first to the second.
    #[must_use]
    pub fn new(signal: &'a (dyn Fn() -> Signal + Sync)) -> Self {
        Self { signal, progress: &|_| {} }
    }

    /// Runs to the end, however long that takes.
    #[must_use]
    pub fn unlimited() -> Control<'static> {
        Control { signal: &|| Signal::GoOn, progress: &|_| {} }
    }

    /// The same, and calls `progress` at irregular intervals.
    #[must_use]
    pub fn with_progress(self, progress: &'a (dyn Fn(&Progress) + Sync)) -> Self {
        Self { progress, ..self }
    }

    /// Why to stop, if at all.
    pub(crate) fn stopped(&self) -> Option<Stopped> {
        match (self.signal)() {
            Signal::GoOn => None,
            Signal::Finish => Some(Stopped::Spent),
            Signal::StopNow => Some(Stopped::Cancelled),
        }
    }

    /// Why to stop what an answer needs, if at all.
    pub(super) fn stopped_now(&self) -> Option<Stopped> {
        self.stopped().filter(|stop| *stop == Stopped::Cancelled)
    }

    pub(super) fn tell(&self, progress: &Progress) {
        (self.progress)(progress);
    }
}

impl std::fmt::Debug for Control<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Control").finish_non_exhaustive()
    }
}

/// The phase of [`solve`](crate::solve()).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Phase {
    /// Searching for a first solution.
    Searching,
    /// A solution exists; it is being timed, checked and improved.
    Improving,
}

/// A snapshot of a running [`solve`](crate::solve()).
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Progress {
    /// The current phase.
    pub phase: Phase,
    /// Counters of the search so far.
    pub statistics: Statistics,
    /// Least estimated time from any configuration found to the goal, in seconds; infinite if unknown.
    pub nearest_s: f64,
    /// Makespan of the best plan that has passed the check, in seconds.
    pub makespan_s: Option<f64>,
}
