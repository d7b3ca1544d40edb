//! Files of kinds, as types.

use super::kind_entry::KindEntry;
use super::ranges::{LARGEST, NAME};
use indexmap::IndexMap;
use schemars::JsonSchema;

/// The word that opens a file of kinds.
pub const KINDS_FORMAT: &str = "clamber-kinds/1";

/// A file of kinds that scenes may take from.
#[derive(Debug, JsonSchema)]
#[schemars(deny_unknown_fields)]
#[expect(dead_code, reason = "its schema is what is used")]
pub(super) struct KindsFile {
    /// The format and its version.
    #[schemars(extend("const" = KINDS_FORMAT))]
    format: String,
    /// The kinds of module, by name.
    #[schemars(extend("minProperties" = 1, "maxProperties" = LARGEST, "propertyNames" = { "pattern": NAME }))]
    kind: IndexMap<String, KindEntry>,
}

/// The fields of a kind that say where it is taken from.
#[derive(Debug, JsonSchema)]
#[expect(dead_code, reason = "its schema is what is used")]
pub(super) struct TakenEntry {
    /// The name of a file beside the scene with kinds in it. Fields that are given here override those of the file.
    from: String,
    /// The name that the kind has in that file, where it is another one.
    #[schemars(extend("pattern" = NAME))]
    name: Option<String>,
}
