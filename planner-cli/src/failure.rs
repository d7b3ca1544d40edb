//! What ends a command early: a text for stderr, an exit code, and the same for programs.

use crate::exit_code;
use serde::Serialize;

/// Ends a command; `main` tells it and exits with the code.
#[derive(Debug)]
pub(crate) struct Failure {
    /// Complete lines, without a newline at the end.
    pub(crate) text: String,
    /// One of [`exit_code`].
    pub(crate) code: u8,
    /// The same one by one, where files are at fault.
    pub(crate) troubles: Vec<Trouble>,
}

/// One thing that is wrong, as it stands in JSON.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Trouble {
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) file: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) line: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) column: Option<usize>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) field: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) found: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) allowed: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) to_do: Option<String>,
    pub(crate) message: String,
}

impl Failure {
    /// Something could not be read or written, or was asked for in a way that makes no sense.
    pub(crate) fn unreadable(text: impl Into<String>) -> Self {
        Self { text: text.into(), code: exit_code::UNREADABLE, troubles: Vec::new() }
    }

    /// The answer is no.
    pub(crate) fn not_sound(text: impl Into<String>) -> Self {
        Self { text: text.into(), code: exit_code::NOT_SOUND, troubles: Vec::new() }
    }

    /// Somebody has ended it from outside.
    pub(crate) fn interrupted(text: impl Into<String>) -> Self {
        Self { text: text.into(), code: exit_code::INTERRUPTED, troubles: Vec::new() }
    }

    /// With what is wrong one by one.
    pub(crate) fn with(self, troubles: impl IntoIterator<Item = Trouble>) -> Self {
        Self { troubles: troubles.into_iter().collect(), ..self }
    }
}
