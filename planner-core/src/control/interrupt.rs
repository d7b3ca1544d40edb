//! Interrupts: long work polls whether to go on.

/// Why work stops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stopped {
    /// The time or the number of expansions is used up.
    Spent,
    /// The memory is used up.
    Full,
    /// The caller no longer wants the answer.
    Cancelled,
}

/// A callback that polls the caller's time limit and cancel flag. The core reads no clock.
///
/// Polled from any thread. It has to be fast, to keep the interrupt latency low; once it has returned a reason to stop it must keep doing so.
#[derive(Clone, Copy)]
pub struct Interrupt<'a> {
    ask: &'a (dyn Fn() -> Option<Stopped> + Sync),
    only_cancelled: bool,
}

impl<'a> Interrupt<'a> {
    /// Never stops.
    pub const NEVER: Interrupt<'static> = Interrupt::new(&|| None);

    /// Stops when `ask` returns a reason.
    #[must_use]
    pub const fn new(ask: &'a (dyn Fn() -> Option<Stopped> + Sync)) -> Self {
        Self { ask, only_cancelled: false }
    }

    /// The same for work that is needed even when time is up: stops only with [`Stopped::Cancelled`].
    #[must_use]
    pub const fn only_when_cancelled(self) -> Self {
        Self { only_cancelled: true, ..self }
    }

    /// Polls; returns the reason to stop, if there is one.
    #[must_use]
    pub fn asked(self) -> Option<Stopped> {
        (self.ask)().filter(|stop| !self.only_cancelled || *stop == Stopped::Cancelled)
    }

    /// Polls, with the reason to stop as an error.
    ///
    /// # Errors
    /// When `ask` returns a reason to stop.
    pub fn go_on(self) -> Result<(), Stopped> {
        self.asked().map_or(Ok(()), Err)
    }
}

/// The result of work without an interrupt.
pub(crate) fn uninterrupted<T>(work: impl Fn(Interrupt<'_>) -> Result<T, Stopped>) -> T {
    loop {
        // The first attempt succeeds, as the work stops only when this interrupt says so.
        if let Ok(answer) = work(Interrupt::NEVER) {
            return answer;
        }
    }
}

impl std::fmt::Debug for Interrupt<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Interrupt").field("only_cancelled", &self.only_cancelled).finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn needed_work_stops_only_when_cancelled() {
        for stop in [Stopped::Spent, Stopped::Full, Stopped::Cancelled] {
            let ask = || Some(stop);
            let interrupt = Interrupt::new(&ask);
            assert_eq!(interrupt.go_on(), Err(stop));
            let needed = interrupt.only_when_cancelled().asked();
            assert_eq!(needed, (stop == Stopped::Cancelled).then_some(stop));
        }
        assert_eq!(Interrupt::NEVER.go_on(), Ok(()));
    }
}
