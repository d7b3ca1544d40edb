//! Parses JSON text to a tree.

use super::diagnostic::Report;
use super::tree::{Entry, TreeNode, Value};
use indexmap::IndexSet;
use jsonc_parser::common::Ranged;
use jsonc_parser::{CollectOptions, ParseOptions, ast, parse_to_ast};
use std::ops::Range;

/// The strict JSON of RFC 8259.
const STRICT: ParseOptions = ParseOptions {
    allow_comments: false,
    allow_loose_object_property_names: false,
    allow_trailing_commas: false,
    allow_missing_commas: false,
    allow_single_quoted_strings: false,
    allow_hexadecimal_numbers: false,
    allow_unary_plus_numbers: false,
    allow_bare_decimal_point_numbers: false,
    allow_non_finite_numbers: false,
    allow_extended_string_escapes: false,
};

/// The tree of a JSON text, and the positions of duplicate keys. After a syntax error there is no tree.
pub(super) fn parse(text: &str, report: &mut Report<'_>) -> Option<(TreeNode, Vec<Range<usize>>)> {
    // serde_json checks the syntax; the other parser records positions.
    if let Err(error) = serde_json::from_str::<serde::de::IgnoredAny>(text) {
        let at = offset(text, error.line(), error.column());
        let message = error.to_string();
        let message = message.split(" at line ").next().unwrap_or_default();
        return fail(report, at..at, message);
    }
    match parse_to_ast(text, &CollectOptions::default(), &STRICT) {
        Ok(result) => {
            let mut twice = Vec::new();
            result.value.map(|value| (node(value, &mut twice), twice))
        }
        Err(error) => {
            let range = error.range();
            fail(report, range.start..range.end, &error.kind().to_string().to_lowercase())
        }
    }
}

fn fail<T>(report: &mut Report<'_>, span: Range<usize>, message: &str) -> Option<T> {
    let found = format!("the text cannot be read as JSON: {message}");
    let deep = message.contains("nesting depth");
    let allowed = if deep { "at most 250 levels are allowed" } else { "the JSON of RFC 8259 is allowed" };
    report.add(&span, "file", found, allowed, "mend the text here");
    None
}

/// Byte offset of a line and a byte column, both from 1.
fn offset(text: &str, line: usize, column: usize) -> usize {
    let start: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    (start + column.saturating_sub(1)).min(text.len())
}

fn node(value: ast::Value<'_>, twice: &mut Vec<Range<usize>>) -> TreeNode {
    let span = value.start()..value.end();
    let value = match value {
        ast::Value::StringLit(text) => Value::Text(text.value.into_owned()),
        ast::Value::NumberLit(number) => self::number(number.value),
        ast::Value::BooleanLit(flag) => Value::Flag(flag.value),
        ast::Value::NullKeyword(_) => Value::Other("null"),
        ast::Value::Array(array) => {
            Value::List(array.elements.into_iter().map(|item| node(item, twice)).collect())
        }
        ast::Value::Object(object) => Value::Table(entries(object, twice)),
    };
    TreeNode { span, value }
}

fn entries(object: ast::Object<'_>, twice: &mut Vec<Range<usize>>) -> Vec<Entry> {
    let mut seen = IndexSet::new();
    let mut entries = Vec::new();
    for property in object.properties {
        let key_span = property.name.start()..property.name.end();
        let key = property.name.into_string();
        if !seen.insert(key.clone()) {
            twice.push(key_span);
            continue;
        }
        entries.push(Entry { key, key_span, node: node(property.value, twice) });
    }
    entries
}

/// A JSON number; one without a fractional part is an integer in any notation.
fn number(text: &str) -> Value {
    const EXACT: f64 = 9_007_199_254_740_992.0;
    if let Ok(whole) = text.parse::<i128>() {
        return Value::Integer(whole);
    }
    match text.parse::<f64>() {
        Ok(number) if number.fract() == 0.0 && number.abs() <= EXACT => Value::Integer(number as i128),
        Ok(number) => Value::Float(number),
        Err(_) => Value::Float(f64::NAN),
    }
}
