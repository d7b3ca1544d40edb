//! Lines of a scene's text.

use super::diagnostic::Report;
use super::text_tree::{is_json, parse};

/// The line, from 1, in which a module is named, so that messages can refer to it.
#[must_use]
pub fn module_line(name: &str, text: &str, module: &str) -> Option<usize> {
    let mut report = Report::new(name, text);
    let tree = parse(text, is_json(name, text), &mut report)?;
    let names = tree.list("module").iter().filter_map(|entry| entry.get("name"));
    let own = names.into_iter().find(|own| own.text() == Some(module))?;
    Some(report.line_of(own.span.start))
}
