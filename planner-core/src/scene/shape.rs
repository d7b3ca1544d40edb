//! Checks a tree against the schema: fields, types and ranges. One pass for scenarios and plans, TOML and JSON.

use super::diagnostic::{Report, nearest};
use super::ranges::NAME_LENGTH;
use super::tree::{TreeNode, Value};
use super::wording::{about, allowed, bounds, give, listed};
use serde_json::Value as Schema;

/// Reports all violations of the schema in `node`, called `field`.
pub(super) fn check(node: &TreeNode, schema: &Schema, field: &str, report: &mut Report<'_>) {
    check_part(node, schema, schema, field, report);
}

/// The same for an item of a list: `told` is the schema whose description applies to it.
fn check_part(node: &TreeNode, schema: &Schema, told: &Schema, field: &str, report: &mut Report<'_>) {
    let fits = match (schema.get("type").and_then(Schema::as_str), &node.value) {
        (Some("object"), Value::Table(_)) => {
            check_fields(node, schema, field, report);
            true
        }
        (Some("array"), Value::List(items)) => {
            let most = most(schema);
            if let Some(schema) = schema.get("items") {
                for (index, item) in items.iter().enumerate().take(most) {
                    let told = if schema.get("description").is_some() { schema } else { told };
                    check_part(item, schema, told, &format!("{field}[{index}]"), report);
                }
            }
            in_bounds(items.len() as f64, schema, "minItems", "maxItems")
        }
        (Some("integer"), Value::Integer(whole)) if u64::try_from(*whole).is_err() => false,
        (Some("number"), Value::Integer(_) | Value::Float(_)) | (Some("integer"), Value::Integer(_)) => {
            node.number().is_some_and(|number| in_range(number, schema))
        }
        (Some("string"), Value::Text(text)) => text_fits(text, schema),
        (Some("boolean"), Value::Flag(_)) | (_, Value::Unread) => true,
        _ => false,
    };
    if !fits {
        report.add(&node.span, name(field), found(node), allowed(schema), advice(node, schema, told));
    }
}

fn check_fields(node: &TreeNode, schema: &Schema, field: &str, report: &mut Report<'_>) {
    let known = schema.get("properties").and_then(Schema::as_object);
    let inner = |key: &str| join(field, key);
    for entry in node.entries() {
        let own = known.and_then(|known| known.get(&entry.key));
        let free = schema.get("additionalProperties").filter(|schema| schema.is_object());
        if let Some(schema) = own.or(free) {
            check(&entry.node, schema, &inner(&entry.key), report);
        } else {
            let names = known.into_iter().flatten().map(|(name, _)| name.as_str());
            let help = match nearest(&entry.key, names.clone()) {
                Some(name) => format!("did you mean `{name}`?"),
                None => "remove it".into(),
            };
            let allowed = format!("the fields here are {}", listed(names, "and"));
            report.add(&entry.key_span, inner(&entry.key), "unknown field", allowed, help);
        }
        let naming = schema.get("propertyNames");
        if let Some(naming) = naming.filter(|naming| !text_fits(&entry.key, naming)) {
            let found = format!("the name {} was found", super::tree::quote(&entry.key));
            report.add(&entry.key_span, inner(&entry.key), found, allowed(naming), "choose another name");
        }
    }
    for key in
        schema.get("required").and_then(Schema::as_array).into_iter().flatten().filter_map(Schema::as_str)
    {
        if node.get(key).is_none() {
            let of = known.and_then(|known| known.get(key)).unwrap_or(&Schema::Null);
            let help = format!("add {}", about(of));
            report.add(&node.span, inner(key), "missing", allowed(of), help);
        }
    }
    let entries = node.entries().len() as f64;
    if !in_bounds(entries, schema, "minProperties", "maxProperties") {
        let found = format!("a table of {entries} was found");
        report.add(&node.span, name(field), found, allowed(schema), give(schema));
    }
}

/// The path of a key in a table.
pub(super) fn join(table: &str, key: &str) -> String {
    let bare = !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    let key = if bare { key.into() } else { super::tree::quote(key) };
    if table.is_empty() { key } else { format!("{table}.{key}") }
}

fn name(field: &str) -> &str {
    if field.is_empty() { "file" } else { field }
}

fn found(node: &TreeNode) -> String {
    format!("{} was found", node.describe())
}

fn advice(node: &TreeNode, schema: &Schema, told: &Schema) -> String {
    let numeric = matches!(schema.get("type").and_then(Schema::as_str), Some("number" | "integer"));
    if numeric && node.text().is_some_and(|text| text.parse::<f64>().is_ok()) {
        return "write it without quotes".into();
    }
    give(told)
}

/// Number of items of a list that are checked: those beyond the allowed number are reported as one.
fn most(schema: &Schema) -> usize {
    schema.get("maxItems").and_then(Schema::as_u64).map_or(usize::MAX, |most| most as usize)
}

fn in_range(number: f64, schema: &Schema) -> bool {
    let [minimum, maximum, above, below] = bounds(schema);
    minimum.is_none_or(|bound| number >= bound)
        && maximum.is_none_or(|bound| number <= bound)
        && above.is_none_or(|bound| number > bound)
        && below.is_none_or(|bound| number < bound)
}

fn in_bounds(count: f64, schema: &Schema, least: &str, most: &str) -> bool {
    let bound = |key| schema.get(key).and_then(Schema::as_f64);
    bound(least).is_none_or(|least| count >= least) && bound(most).is_none_or(|most| count <= most)
}

/// The only pattern in use is that of names.
fn text_fits(text: &str, schema: &Schema) -> bool {
    let proper =
        || !text.is_empty() && text.chars().count() <= NAME_LENGTH && !text.chars().any(char::is_control);
    let words = schema.get("enum").and_then(Schema::as_array);
    schema.get("const").is_none_or(|word| word == text)
        && words.is_none_or(|words| words.iter().any(|word| word == text))
        && (schema.get("pattern").is_none() || proper())
}
