//! The question that long work asks as it goes: whether to go on.

/// Why work has to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stopped {
    /// Time or expansions ran out.
    Spent,
    /// Memory ran out.
    Full,
    /// The caller does not want the answer any more.
    Cancelled,
}

/// The caller's clock and cancel flag. The core reads no clock: it asks.
///
/// Asked from any thread. It has to answer quickly, and once it has said stop it must go on to.
#[derive(Clone, Copy)]
pub struct Interrupt<'a> {
    ask: &'a (dyn Fn() -> Option<Stopped> + Sync),
    only_cancelled: bool,
}

impl<'a> Interrupt<'a> {
    /// Never says stop.
    pub const NEVER: Interrupt<'static> = Interrupt::new(&|| None);

    /// Says stop when `ask` gives a reason.
    #[must_use]
    pub const fn new(ask: &'a (dyn Fn() -> Option<Stopped> + Sync)) -> Self {
        Self { ask, only_cancelled: false }
    }

    /// The same for work that is needed even when time is up: it says stop only with [`Stopped::Cancelled`].
    #[must_use]
    pub const fn only_when_cancelled(self) -> Self {
        Self { only_cancelled: true, ..self }
    }

    /// Asks; the reason to stop, if there is one.
    #[must_use]
    pub fn asked(self) -> Option<Stopped> {
        (self.ask)().filter(|stop| !self.only_cancelled || *stop == Stopped::Cancelled)
    }

    /// Asks, with the reason to stop as an error.
    ///
    /// # Errors
    /// When it says stop.
    pub fn go_on(self) -> Result<(), Stopped> {
        self.asked().map_or(Ok(()), Err)
    }
}

/// The answer of work that nobody stops.
pub(crate) fn uninterrupted<T>(work: impl Fn(Interrupt<'_>) -> Result<T, Stopped>) -> T {
    loop {
        // The first time, as the work stops only when this interrupt says so.
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
