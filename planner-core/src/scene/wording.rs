//! Words for what a schema allows.

use super::ranges::NAME_LENGTH;
use serde_json::Value as Schema;

/// The phrase for what is allowed.
pub(super) fn allowed(schema: &Schema) -> String {
    if let Some(word) = schema.get("const").and_then(Schema::as_str) {
        return format!("{word:?} is allowed");
    }
    if let Some(words) = schema.get("enum").and_then(Schema::as_array) {
        let words: Vec<String> = words.iter().map(Schema::to_string).collect();
        return format!("{} is allowed", listed(words.iter().map(String::as_str), "or"));
    }
    if schema.get("pattern").is_some() {
        return format!("a text of 1 to {NAME_LENGTH} characters without control characters is allowed");
    }
    match schema.get("type").and_then(Schema::as_str) {
        Some("number") => format!("a number{} is allowed", range(schema)),
        Some("integer") => format!("a whole number{} is allowed", range(schema)),
        Some("boolean") => "true or false is allowed".into(),
        Some("string") => "a text is allowed".into(),
        Some("array") => format!("a list{} is allowed", of_items(schema)),
        _ => format!("a table{} is allowed", between(schema, "minProperties", "maxProperties")),
    }
}

/// Description of the field, from its documentation.
pub(super) fn about(schema: &Schema) -> String {
    let text = schema.get("description").and_then(Schema::as_str).unwrap_or("Such a value");
    let sentence = text.split(". ").next().unwrap_or(text).trim_end_matches('.').replace('\n', " ");
    let mut rest = sentence.chars();
    rest.next().map_or_else(String::new, |first| first.to_lowercase().chain(rest).collect())
}

/// The advice to give it.
pub(super) fn give(schema: &Schema) -> String {
    let about = about(schema);
    let verb = if about.starts_with("whether") { "say" } else { "give" };
    format!("{verb} {about}")
}

/// Lower, upper, exclusive lower and exclusive upper bound.
pub(super) fn bounds(schema: &Schema) -> [Option<f64>; 4] {
    ["minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"].map(|key| schema.get(key)?.as_f64())
}

/// A list of words with commas, and a conjunction before the last.
pub(super) fn listed<'a>(words: impl Iterator<Item = &'a str>, joint: &str) -> String {
    let words: Vec<&str> = words.collect();
    match words.as_slice() {
        [] => "none".into(),
        [only] => (*only).into(),
        [first @ .., last] => format!("{} {joint} {last}", first.join(", ")),
    }
}

fn range(schema: &Schema) -> String {
    let [minimum, maximum, above, below] = bounds(schema).map(|bound| bound.map(plain));
    let least = minimum.map(|b| format!(" from {b}")).or_else(|| above.map(|b| format!(" above {b}")));
    let most = maximum.map(|b| format!(" up to {b}")).or_else(|| below.map(|b| format!(" to below {b}")));
    least.into_iter().chain(most).collect()
}

fn plain(number: f64) -> String {
    if number != 0.0 && !(1e-3..1e9).contains(&number.abs()) {
        format!("{number:e}")
    } else {
        number.to_string()
    }
}

fn between(schema: &Schema, least: &str, most: &str) -> String {
    let bound = |key| schema.get(key).and_then(Schema::as_u64);
    match (bound(least), bound(most)) {
        (Some(least), Some(most)) if least == most => format!(" of {least}"),
        (Some(least), Some(most)) => format!(" of {least} to {most}"),
        (None, Some(most)) => format!(" of up to {most}"),
        (Some(least), None) => format!(" of at least {least}"),
        (None, None) => String::new(),
    }
}

fn of_items(schema: &Schema) -> String {
    let count = between(schema, "minItems", "maxItems");
    let items = schema.get("items").unwrap_or(&Schema::Null);
    let one = match items.get("type").and_then(Schema::as_str) {
        Some("number") => format!("numbers{}", range(items)),
        Some("integer") => format!("whole numbers{}", range(items)),
        Some("array") => format!("lists{}", of_items(items)),
        _ => "tables".into(),
    };
    if count.is_empty() { format!(" of {one}") } else { format!("{count} {one}") }
}
