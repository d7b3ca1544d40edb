//! Limits of a search.

use super::{Interrupt, Stopped};

/// Limits of a search.
#[derive(Clone, Copy, Debug)]
pub struct Budget<'a> {
    /// Most configurations to expand.
    pub expansions: u64,
    /// Most memory for configurations and all that is stored with them, in bytes. Estimated from their number and sizes with room for growth, so that
    /// a search stops at the same place on every run.
    pub bytes: u64,
    /// Polled before every expansion and every module in it, before every path that is tested, and for every configuration that is examined.
    pub interrupt: Interrupt<'a>,
}

impl Budget<'_> {
    /// No limits at all.
    #[must_use]
    pub const fn unlimited() -> Budget<'static> {
        Budget { expansions: u64::MAX, bytes: u64::MAX, interrupt: Interrupt::NEVER }
    }

    /// Why to stop after so many expansions and with so many bytes in use, if there is a reason.
    pub(crate) fn spent(&self, expansions: u64, bytes: u64) -> Option<Stopped> {
        if expansions >= self.expansions {
            Some(Stopped::Spent)
        } else if bytes >= self.bytes {
            Some(Stopped::Full)
        } else {
            self.interrupt.asked()
        }
    }

    /// Polls the interrupt; returns the reason to stop as an error.
    pub(crate) fn go_on(&self) -> Result<(), Stopped> {
        self.interrupt.go_on()
    }
}
