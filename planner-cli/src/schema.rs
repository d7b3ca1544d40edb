//! `clamber schema`: the JSON Schema of a file.

use crate::args::{SchemaArgs, SchemaOf};
use crate::failure::Failure;
use crate::{bench, envelope, exit_code, follow, output, risk, whatif};
use clamber_core::unstable::scene::kinds_schema;
use clamber_core::{plan_schema, scenario_schema};
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::Value;

pub(crate) fn run(args: &SchemaArgs) -> Result<u8, Failure> {
    let schema = match args.file {
        SchemaOf::Scenario => scenario_schema(),
        SchemaOf::Plan => plan_schema(),
        SchemaOf::Kinds => kinds_schema(),
        SchemaOf::Suite => bench::suite_schema(),
        SchemaOf::Results => bench::results_schema(),
        SchemaOf::Whatif => whatif::schema(),
        SchemaOf::Envelope => envelope::schema(),
        SchemaOf::Risk => risk::schema(),
        SchemaOf::Follow => follow::schema(),
    };
    output::print(&format!("{schema:#}\n"))?;
    Ok(exit_code::DONE)
}

/// The schema (2020-12) of a type.
pub(crate) fn schema_of<T: JsonSchema>(title: &str) -> Value {
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
