//! Writes scenario files.

use super::layout::Layout;
use super::scenario::Scenario;
use serde::Serialize;
use serde_json::ser::Serializer;

/// The notation of a scenario file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileFormat {
    /// TOML.
    Toml,
    /// JSON.
    Json,
}

/// Why a file cannot be written.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// Files contain only finite numbers.
    #[error("{field}: a number that is not finite; only finite numbers can be written; mend what made it")]
    NotFinite {
        /// The field.
        field: String,
    },
    /// The plan refers to a module, deck or host that its scenario does not have.
    #[error(
        "{field}: a module or deck that the problem does not have; a plan is written with its own problem; give that"
    )]
    NotOfThisScenario {
        /// The field.
        field: String,
    },
    /// The notation cannot represent the value.
    #[error("the file cannot be written: {0}")]
    Notation(String),
}

/// The text of a scenario, in TOML or JSON (section 7 of the model).
///
/// # Errors
/// [`WriteError`] when it contains a number that is not finite.
pub fn write_scenario(scenario: &Scenario, format: FileFormat) -> Result<String, WriteError> {
    super::finite::check(scenario)?;
    match format {
        FileFormat::Toml => {
            toml::to_string(scenario).map_err(|error| WriteError::Notation(error.to_string()))
        }
        FileFormat::Json => json(scenario),
    }
}

/// Formatted JSON with a newline at its end.
pub(super) fn json(value: &impl Serialize) -> Result<String, WriteError> {
    let mut bytes = Vec::new();
    let mut serializer = Serializer::with_formatter(&mut bytes, Layout::default());
    let done = value.serialize(&mut serializer).map_err(|error| error.to_string());
    done.and_then(|()| String::from_utf8(bytes).map_err(|error| error.to_string()))
        .map(|text| text + "\n")
        .map_err(WriteError::Notation)
}
