//! The JSON Schemas of the files, derived from the types.

use super::kinds_entry::{KindsFile, TakenEntry};
use super::plan_entry::{MOVES, PlanFile};
use super::scenario::Scenario;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

/// JSON Schema (2020-12) of a scenario. A field with a default may be left out.
#[must_use]
pub fn scenario_schema() -> Value {
    let mut schema = resolved_schema();
    if let Some(Value::Object(kind)) = schema.pointer_mut("/properties/kind/additionalProperties") {
        let taken = schema_of::<TakenEntry>("");
        let fields = taken["properties"].as_object().into_iter().flatten();
        if let Some(Value::Object(properties)) = kind.get_mut("properties") {
            properties.extend(fields.map(|(name, field)| (name.clone(), field.clone())));
        }
        // All fields are required, unless the kind is taken from a file.
        let required = kind.remove("required");
        kind.insert("if".into(), json!({ "required": ["from"] }));
        kind.insert("else".into(), json!({ "required": required, "properties": { "name": false } }));
    }
    schema
}

/// JSON Schema (2020-12) of a scenario without references to other files.
pub(super) fn resolved_schema() -> Value {
    schema_of::<Scenario>("A scene for clamber")
}

/// JSON Schema (2020-12) of a file of kinds that scenes may include.
#[must_use]
pub fn kinds_schema() -> Value {
    schema_of::<KindsFile>("Kinds of module for clamber")
}

/// JSON Schema (2020-12) of a plan.
#[must_use]
pub fn plan_schema() -> Value {
    let mut schema = schema_of::<PlanFile>("A plan of clamber");
    if let Some(Value::Object(step)) = schema.pointer_mut("/properties/steps/items") {
        step.insert("allOf".into(), MOVES.iter().map(|(word, own)| move_rule(word, own)).collect());
    }
    schema
}

/// The rule that the move of this name has exactly its own parameters.
fn move_rule(word: &str, own: &[&str]) -> Value {
    let foreign: Map<String, Value> = MOVES
        .iter()
        .flat_map(|(_, parameters)| parameters.iter())
        .filter(|name| !own.contains(name))
        .map(|name| ((*name).to_owned(), Value::Bool(false)))
        .collect();
    json!({
        "if": { "properties": { "move": { "const": word } } },
        "then": { "required": own, "properties": foreign },
    })
}

fn schema_of<T: JsonSchema>(title: &str) -> Value {
    let generator = SchemaSettings::draft2020_12().with(|s| s.inline_subschemas = true).into_generator();
    let mut schema = generator.into_root_schema_for::<T>().to_value();
    tidy(&mut schema);
    if let Value::Object(root) = &mut schema {
        root.insert("title".into(), title.into());
    }
    schema
}

/// Removes `null` as a value, since an absent field is left out, and simplifies what schemars generates for options and enums.
fn tidy(schema: &mut Value) {
    let Value::Object(map) = schema else {
        if let Value::Array(items) = schema {
            items.iter_mut().for_each(tidy);
        }
        return;
    };
    if let Some(Value::Array(types)) = map.get_mut("type") {
        types.retain(|name| name != "null");
        if let [only] = types.as_slice() {
            let only = only.clone();
            map.insert("type".into(), only);
        }
    }
    if map.get("default").is_some_and(Value::is_null) {
        map.remove("default");
    }
    map.remove("format");
    if let Some(Value::Array(choices)) = map.get("anyOf") {
        let real = choices.iter().find(|choice| choice.get("type") != Some(&json!("null"))).cloned();
        map.remove("anyOf");
        if let Some(Value::Object(real)) = real {
            real.into_iter().for_each(|(key, value)| {
                map.entry(key).or_insert(value);
            });
        }
    }
    if let Some(Value::Array(words)) = map.get("oneOf") {
        let words: Value = words.iter().filter_map(|choice| choice.get("const").cloned()).collect();
        map.remove("oneOf");
        map.insert("type".into(), "string".into());
        map.insert("enum".into(), words);
    }
    // The names of properties are not keywords.
    for (key, value) in map.iter_mut() {
        match (key.as_str(), value) {
            ("properties", Value::Object(properties)) => properties.values_mut().for_each(tidy),
            ("items" | "additionalProperties", inner) => tidy(inner),
            _ => {}
        }
    }
}
