//! Parses TOML text to a tree.

use super::diagnostic::Report;
use super::tree::{Entry, TreeNode, Value, quote};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The tree of a TOML text, and the positions of duplicate keys. After any other syntax error there is no tree, since errors that follow from it
/// would be noise.
pub(super) fn parse(text: &str, report: &mut Report<'_>) -> Option<(TreeNode, Vec<Range<usize>>)> {
    let (root, errors) = DeTable::parse_recoverable(text);
    let mut twice = Vec::new();
    let mut line_before = 0;
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let line = report.line_of(span.start);
        if error.message() == "duplicate key" {
            twice.push(span);
            continue;
        }
        // One error often causes more in its line, and an unclosed list more in the rest of the file.
        if line != line_before {
            fail(error.message(), text.get(span.clone()).unwrap_or(""), &span, report);
        }
        line_before = line;
        if error.message().starts_with(OPEN_LIST) {
            break;
        }
    }
    report.is_clean().then(|| (TreeNode { span: root.span(), value: table(root.into_inner()) }, twice))
}

const OPEN_LIST: &str = "missing comma between array elements";
/// The parser's messages for a bare word, by its first letter.
const BARE_WORD: [&str; 4] =
    ["string values must be quoted", "invalid boolean", "invalid float", "invalid integer"];

fn fail(message: &str, here: &str, span: &Range<usize>, report: &mut Report<'_>) {
    let values = "a value is a text in quotes, a number, true, false, a list or a table";
    let (found, allowed, help) = if message.starts_with(OPEN_LIST) {
        let allowed = "items have commas between them and a list ends with ]";
        (
            "a list above is not closed, or a comma is missing".into(),
            allowed,
            "close the list, or add the comma",
        )
    } else if BARE_WORD.iter().any(|start| message.starts_with(start)) {
        match here.trim() {
            "" => ("a value is missing".into(), values, "write the value"),
            word => {
                (format!("{} is no value", quote(word)), values, "put a text in quotes, or mend the number")
            }
        }
    } else {
        let at = if here.trim().is_empty() { String::new() } else { format!(" at {}", quote(here)) };
        (format!("the text cannot be read{at}: {message}"), "TOML 1.1 is allowed", "mend the text here")
    };
    report.add(span, "file", found, allowed, help);
}

fn node(value: Spanned<DeValue<'_>>) -> TreeNode {
    let span = value.span();
    let value = match value.into_inner() {
        DeValue::String(text) => Value::Text(text.into_owned()),
        DeValue::Integer(whole) => match i128::from_str_radix(whole.as_str(), whole.radix()) {
            Ok(whole) => Value::Integer(whole),
            Err(_) => Value::Float(f64::INFINITY),
        },
        DeValue::Float(number) => Value::Float(number.as_str().parse().unwrap_or(f64::NAN)),
        DeValue::Boolean(flag) => Value::Flag(flag),
        DeValue::Datetime(_) => Value::Other("a date or time"),
        DeValue::Array(items) => Value::List(items.into_iter().map(node).collect()),
        DeValue::Table(entries) => table(entries),
    };
    TreeNode { span, value }
}

fn table(entries: DeTable<'_>) -> Value {
    let mut entries: Vec<Entry> = entries
        .into_iter()
        .map(|(key, value)| Entry {
            key_span: key.span(),
            key: key.into_inner().into_owned(),
            node: node(value),
        })
        .collect();
    entries.sort_by_key(|entry| entry.key_span.start);
    Value::Table(entries)
}
