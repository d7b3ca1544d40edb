//! From a text to the tree of its values, whatever its notation.

use super::diagnostic::Report;
use super::ranges::FILE_BYTES;
use super::tree::{TreeNode, Value};
use super::{parse_json, parse_toml, twice};

/// Whether a text is JSON, by the name of its file or by its beginning.
pub(super) fn is_json(name: &str, text: &str) -> bool {
    name.to_ascii_lowercase().ends_with(".json") || text.trim_start().starts_with('{')
}

/// The tree of a text; `None` if it is too long or has syntax errors.
pub(super) fn parse(text: &str, is_json: bool, report: &mut Report<'_>) -> Option<TreeNode> {
    if text.len() > FILE_BYTES {
        let found = format!("{} bytes were found", text.len());
        report.add(
            &(0..0),
            "file",
            found,
            format!("up to {FILE_BYTES} bytes are allowed"),
            "give a smaller file",
        );
        return None;
    }
    let parsed = if is_json { parse_json::parse(text, report) } else { parse_toml::parse(text, report) };
    let (tree, twice) = parsed?;
    if !matches!(tree.value, Value::Table(_)) {
        let found = format!("{} was found", tree.describe());
        report.add(&tree.span, "file", found, "a table is allowed", "put the fields between { and }");
        return None;
    }
    twice::report(&tree, text, &twice, report);
    Some(tree)
}

/// Whether the tree is of the other file format of this library; reported as such, since all other errors would follow from it.
pub(super) fn is_other_file(tree: &TreeNode, other: &str, wanted: &str, report: &mut Report<'_>) -> bool {
    let Some(format) = tree.get("format").filter(|format| format.text() == Some(other)) else { return false };
    let allowed = format!("{wanted:?} is allowed");
    report.add(
        &format.span,
        "format",
        format!("{other:?} was found"),
        allowed,
        "give a file of that format here",
    );
    true
}
