//! Files contain only finite numbers.

use super::shape::join;
use super::write_error::WriteError;
use serde::Serialize;
use serde_json::Value;

/// Refuses a value with a number that is not finite. The types of the files never write a null, so a null is such a number.
pub(super) fn check(value: &impl Serialize) -> Result<(), WriteError> {
    let tree = serde_json::to_value(value).map_err(|error| WriteError::Notation(error.to_string()))?;
    match first_null(&tree, "") {
        Some(field) => Err(WriteError::NotFinite { field }),
        None => Ok(()),
    }
}

fn first_null(tree: &Value, field: &str) -> Option<String> {
    match tree {
        Value::Null => Some(field.into()),
        Value::Array(items) => {
            items.iter().enumerate().find_map(|(index, item)| first_null(item, &format!("{field}[{index}]")))
        }
        Value::Object(map) => map.iter().find_map(|(key, item)| first_null(item, &join(field, key))),
        _ => None,
    }
}
