//! What ends a command early: a text for stderr and an exit code.

use crate::exit_code;

/// Ends a command; `main` prints the text on stderr and exits with the code.
#[derive(Debug)]
pub(crate) struct Failure {
    /// Complete lines, without a newline at the end.
    pub(crate) text: String,
    /// One of [`exit_code`].
    pub(crate) code: u8,
}

impl Failure {
    /// Something could not be read or written, or was asked for in a way that makes no sense.
    pub(crate) fn unreadable(text: impl Into<String>) -> Self {
        Self { text: text.into(), code: exit_code::UNREADABLE }
    }

    /// The answer is no.
    pub(crate) fn not_sound(text: impl Into<String>) -> Self {
        Self { text: text.into(), code: exit_code::NOT_SOUND }
    }
}
