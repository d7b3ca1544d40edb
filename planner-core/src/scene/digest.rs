//! The digest that identifies the scenario of a plan.

use super::scenario::Scenario;
use serde::Serialize;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// SHA-256 of the canonical JSON (RFC 8785) of a scenario, in lower-case hexadecimal digits.
#[must_use]
pub fn scenario_sha256(scenario: &Scenario) -> String {
    sha256(scenario).unwrap_or_default()
}

/// The digest of a value that has canonical JSON; `None` if it contains numbers that are not finite.
pub(super) fn sha256(value: &impl Serialize) -> Option<String> {
    let canonical = serde_json_canonicalizer::to_vec(value).ok()?;
    Some(Sha256::digest(canonical).iter().fold(String::new(), |mut digits, byte| {
        let _ = write!(digits, "{byte:02x}");
        digits
    }))
}
