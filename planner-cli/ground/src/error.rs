//! What is wrong with a survey: where, what was found, what is allowed, and what to do.

use thiserror::Error;

/// A survey that cannot be used as it is.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
#[error("{found}; {allowed}; {to_do}")]
pub struct SurveyError {
    /// The line of the file, from 1, where the format has lines.
    pub line: Option<usize>,
    /// The part of the file or the option that is at fault.
    pub field: String,
    /// What was found there.
    pub found: String,
    /// What is allowed there.
    pub allowed: String,
    /// What to do about it.
    pub to_do: String,
}

impl SurveyError {
    pub(crate) fn new(
        field: impl Into<String>,
        found: impl Into<String>,
        allowed: impl Into<String>,
        to_do: impl Into<String>,
    ) -> Self {
        Self {
            line: None,
            field: field.into(),
            found: found.into(),
            allowed: allowed.into(),
            to_do: to_do.into(),
        }
    }

    pub(crate) fn at_line(self, line: usize) -> Self {
        Self { line: Some(line), ..self }
    }
}
