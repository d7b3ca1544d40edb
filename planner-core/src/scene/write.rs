//! Writes scenario files.

use super::layout::Layout;
use super::scenario::Scenario;
use super::write_error::WriteError;
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
