//! Duplicate keys in a table.

use super::diagnostic::Report;
use super::shape::join;
use super::tree::{Entry, TreeNode};
use std::ops::Range;

/// Reports the keys at these positions of the text; the tree contains the first of each.
pub(super) fn report(tree: &TreeNode, text: &str, places: &[Range<usize>], report: &mut Report<'_>) {
    for place in places {
        let key = text.get(place.clone()).unwrap_or("").trim_matches(['"', '\'']);
        let mut first = None;
        find(tree, "", key, place.start, &mut first);
        let (field, found) = match first {
            Some((field, entry)) if entry.key_span.start < place.start => {
                let line = report.line_of(entry.key_span.start);
                (field, format!("the key is given twice, first in line {line}"))
            }
            Some((field, _)) => (field, "the key is given twice".into()),
            None => (join("", key), "the key is given twice".into()),
        };
        report.add(place, field, found, "each key may be given once in a table", "remove one of the two");
    }
}

/// The last entry of this key at or before a byte: a duplicate table may be located by its second header.
fn find<'t>(
    node: &'t TreeNode,
    field: &str,
    key: &str,
    before: usize,
    best: &mut Option<(String, &'t Entry)>,
) {
    for entry in node.entries() {
        let inner = join(field, &entry.key);
        let start = entry.key_span.start;
        if entry.key == key && start <= before && best.as_ref().is_none_or(|(_, b)| b.key_span.start < start)
        {
            *best = Some((inner.clone(), entry));
        }
        find(&entry.node, &inner, key, before, best);
    }
    for (index, item) in node.items().iter().enumerate() {
        find(item, &format!("{field}[{index}]"), key, before, best);
    }
}
