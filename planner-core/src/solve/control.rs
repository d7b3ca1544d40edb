//! What a caller lends: a say in how long to go on, and an ear for progress.

use crate::control::Stopped;
use crate::search::Statistics;

/// What the caller wants next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Signal {
    /// More time only makes the answer better: go on.
    GoOn,
    /// Look for nothing better. What is needed for an answer is finished: the timing and the check of the first plan, if there is none yet.
    Finish,
    /// Answer at once, with the best plan that is checked already.
    StopNow,
}

/// How a caller steers [`solve`](crate::solve()) and hears of it. The library reads no clock: time comes only through here.
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
    /// Asks `signal`, often and from any thread. It has to be quick, and to go on answering [`Signal::Finish`] or [`Signal::StopNow`] once it has;
    /// from the first it may go on to the second.
    #[must_use]
    pub fn new(signal: &'a (dyn Fn() -> Signal + Sync)) -> Self {
        Self { signal, progress: &|_| {} }
    }

    /// Goes on to the end, however long that takes.
    #[must_use]
    pub fn unlimited() -> Control<'static> {
        Control { signal: &|| Signal::GoOn, progress: &|_| {} }
    }

    /// The same, and tells `progress` now and then how far it has come.
    #[must_use]
    pub fn with_progress(self, progress: &'a (dyn Fn(&Progress) + Sync)) -> Self {
        Self { progress, ..self }
    }

    /// Why to stop, if at all.
    pub(super) fn stopped(&self) -> Option<Stopped> {
        match (self.signal)() {
            Signal::GoOn => None,
            Signal::Finish => Some(Stopped::Spent),
            Signal::StopNow => Some(Stopped::Cancelled),
        }
    }

    /// Why to stop what is needed for an answer, if at all.
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

/// What [`solve`](crate::solve()) is at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Phase {
    /// Searching for a first solution.
    Searching,
    /// There is a solution; it is being timed and checked, and a better one is looked for.
    Improving,
}

/// A look at a running [`solve`](crate::solve()).
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Progress {
    /// What it is at.
    pub phase: Phase,
    /// What the search did so far.
    pub statistics: Statistics,
    /// Least estimated time from any configuration found to the goal, in seconds; infinite where that is not known.
    pub nearest_s: f64,
    /// Makespan of the best plan that is timed and checked, in seconds.
    pub makespan_s: Option<f64>,
}
