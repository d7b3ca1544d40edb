//! How long a search may go on. The core reads no clock: the caller lends one.

/// Why a search has to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stopped {
    /// Time or expansions ran out.
    Spent,
    /// Memory ran out.
    Full,
    /// The caller does not want the answer any more.
    Cancelled,
}

/// Limits of a search.
#[derive(Clone, Copy)]
pub struct Budget<'a> {
    /// Most configurations to expand.
    pub expansions: u64,
    /// Most memory for configurations and all that is kept with them, in bytes. Reckoned from their number and sizes with room for growth, so
    /// that a search stops at the same place on every run.
    pub bytes: u64,
    /// Asked before every expansion and every module in it, before every way of a module that is tested, and for every configuration that
    /// is looked at, from any thread: the caller's clock and cancel flag. It has to be quick, and once it has answered it must go on to.
    pub interrupt: &'a (dyn Fn() -> Option<Stopped> + Sync),
}

impl Budget<'_> {
    /// No limits at all.
    #[must_use]
    pub fn unlimited() -> Budget<'static> {
        Budget { expansions: u64::MAX, bytes: u64::MAX, interrupt: &|| None }
    }

    pub(crate) fn spent(&self, expansions: u64, bytes: u64) -> Option<Stopped> {
        if expansions >= self.expansions {
            Some(Stopped::Spent)
        } else if bytes >= self.bytes {
            Some(Stopped::Full)
        } else {
            (self.interrupt)()
        }
    }

    /// Whether the caller wants it to stop, as an error.
    pub(crate) fn go_on(&self) -> Result<(), Stopped> {
        (self.interrupt)().map_or(Ok(()), Err)
    }
}

impl std::fmt::Debug for Budget<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Budget")
            .field("expansions", &self.expansions)
            .field("bytes", &self.bytes)
            .finish_non_exhaustive()
    }
}
