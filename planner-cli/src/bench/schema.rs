//! The JSON Schemas of suites and results, derived from the types.

use super::row::Row;
use super::suite::SuiteFile;
use crate::schema::schema_of;
use serde_json::{Value, json};

/// JSON Schema (2020-12) of a suite.
pub(crate) fn suite_schema() -> Value {
    schema_of::<SuiteFile>("A suite for clamber bench")
}

/// JSON Schema (2020-12) of one line of a results file.
pub(crate) fn results_schema() -> Value {
    let mut schema = schema_of::<Row>("One line of a results file of clamber bench");
    if let Value::Object(root) = &mut schema {
        let solved = json!({
            "if": { "properties": { "status": { "const": "solved" } } },
            "then": { "required": ["checked", "plan", "work"], "properties": { "checked": { "const": true } } },
        });
        root.insert("allOf".into(), json!([solved]));
    }
    schema
}
