//! How long a search may go on. The core reads no clock: the caller lends one.

/// Why a search has to stop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stop {
    /// Time, expansions or memory ran out.
    Spent,
    /// The caller does not want the answer any more.
    Cancelled,
}

/// Limits of a search.
#[derive(Clone, Copy)]
pub struct Budget<'a> {
    /// Most configurations to expand.
    pub expansions: u64,
    /// Most configurations to keep.
    pub kept: usize,
    /// Asked before every expansion and every module in it, from any thread: the caller's clock and cancel flag.
    pub interrupt: &'a (dyn Fn() -> Option<Stop> + Sync),
}

impl Budget<'_> {
    /// No limits at all.
    #[must_use]
    pub fn unlimited() -> Budget<'static> {
        Budget { expansions: u64::MAX, kept: usize::MAX, interrupt: &|| None }
    }

    pub(crate) fn spent(&self, expansions: u64, kept: usize) -> Option<Stop> {
        if expansions >= self.expansions || kept >= self.kept {
            Some(Stop::Spent)
        } else {
            (self.interrupt)()
        }
    }
}

impl std::fmt::Debug for Budget<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Budget")
            .field("expansions", &self.expansions)
            .field("kept", &self.kept)
            .finish_non_exhaustive()
    }
}
