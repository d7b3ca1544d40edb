//! The JSON Schemas of suites and results, derived from the types.

use super::row::Row;
use super::suite::SuiteFile;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
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

fn schema_of<T: JsonSchema>(title: &str) -> Value {
    let settings = SchemaSettings::draft2020_12().with(|s| s.inline_subschemas = true);
    let mut schema = settings.into_generator().into_root_schema_for::<T>().to_value();
    tidy(&mut schema);
    if let Value::Object(root) = &mut schema {
        root.insert("title".into(), title.into());
    }
    schema
}

/// Absent means absent: takes `null` out of the types, and formats that are no words of JSON Schema.
fn tidy(schema: &mut Value) {
    match schema {
        Value::Object(map) => {
            if let Some(Value::Array(types)) = map.get_mut("type") {
                types.retain(|name| name != "null");
                if let [only] = types.as_slice() {
                    let only = only.clone();
                    map.insert("type".into(), only);
                }
            }
            if let Some(Value::Array(choices)) = map.get_mut("anyOf") {
                choices.retain(|choice| choice.get("type").is_none_or(|name| name != "null"));
                if let [Value::Object(only)] = choices.as_slice() {
                    let only = only.clone();
                    map.remove("anyOf");
                    only.into_iter().for_each(|(key, value)| {
                        map.entry(key).or_insert(value);
                    });
                }
            }
            if map.get("type").is_some_and(Value::is_string)
                && map.get("format").is_some_and(Value::is_string)
            {
                map.remove("format");
            }
            map.values_mut().for_each(tidy);
        }
        Value::Array(items) => items.iter_mut().for_each(tidy),
        _ => {}
    }
}
