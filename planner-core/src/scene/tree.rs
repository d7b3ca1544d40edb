//! A file as a tree of values with their positions in the text; the same for TOML and JSON.

use super::diagnostic::shifted;
use std::ops::Range;

/// A value and its range of bytes in the text.
#[derive(Clone, Debug)]
pub(super) struct TreeNode {
    pub(super) span: Range<usize>,
    pub(super) value: Value,
}

/// The value of a node.
#[derive(Clone, Debug)]
pub(super) enum Value {
    /// Entries in the order of the text, without duplicate keys.
    Table(Vec<Entry>),
    List(Vec<TreeNode>),
    Text(String),
    Integer(i128),
    Float(f64),
    Flag(bool),
    /// A type that no field accepts, by name.
    Other(&'static str),
    /// A value that another file should give and does not; reported already.
    Unread,
}

/// A key and its value.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) key: String,
    pub(super) key_span: Range<usize>,
    pub(super) node: TreeNode,
}

impl Entry {
    fn shifted(self, by: usize) -> Self {
        Self { key: self.key, key_span: shifted(&self.key_span, by), node: self.node.shifted(by) }
    }
}

impl TreeNode {
    /// The entries of a table; empty for anything else.
    pub(super) fn entries(&self) -> &[Entry] {
        if let Value::Table(entries) = &self.value { entries } else { &[] }
    }

    /// The same, mutable.
    pub(super) fn entries_mut(&mut self) -> &mut [Entry] {
        if let Value::Table(entries) = &mut self.value { entries } else { &mut [] }
    }

    /// The value of a key of a table, mutable.
    pub(super) fn get_mut(&mut self, key: &str) -> Option<&mut Self> {
        self.entries_mut().iter_mut().find(|entry| entry.key == key).map(|entry| &mut entry.node)
    }

    /// The same tree with an offset added to all spans.
    pub(super) fn shifted(self, by: usize) -> Self {
        let value = match self.value {
            Value::Table(entries) => Value::Table(entries.into_iter().map(|e| e.shifted(by)).collect()),
            Value::List(items) => Value::List(items.into_iter().map(|item| item.shifted(by)).collect()),
            plain => plain,
        };
        Self { span: shifted(&self.span, by), value }
    }

    /// The value of a key of a table.
    pub(super) fn get(&self, key: &str) -> Option<&Self> {
        self.entries().iter().find(|entry| entry.key == key).map(|entry| &entry.node)
    }

    /// The items of the list under a key; empty if there is no such list.
    pub(super) fn list(&self, key: &str) -> &[Self] {
        self.get(key).map_or(&[], Self::items)
    }

    /// The items of a list; empty for anything else.
    pub(super) fn items(&self) -> &[Self] {
        if let Value::List(items) = &self.value { items } else { &[] }
    }

    /// The text, if the node is one.
    pub(super) fn text(&self) -> Option<&str> {
        if let Value::Text(text) = &self.value { Some(text) } else { None }
    }

    /// The text under a key.
    pub(super) fn text_of(&self, key: &str) -> Option<&str> {
        self.get(key)?.text()
    }

    /// The number, if the node is a finite one.
    pub(super) fn number(&self) -> Option<f64> {
        match self.value {
            Value::Integer(whole) => Some(whole as f64),
            Value::Float(number) => Some(number).filter(|n| n.is_finite()),
            _ => None,
        }
    }

    /// The finite number under a key.
    pub(super) fn number_of(&self, key: &str) -> Option<f64> {
        self.get(key)?.number()
    }

    /// Whether the node is the flag `true`.
    pub(super) fn is_true(&self) -> bool {
        matches!(self.value, Value::Flag(true))
    }

    /// The components, if the node is a list of exactly `N` finite numbers.
    pub(super) fn vector<const N: usize>(&self) -> Option<[f64; N]> {
        let numbers: Option<Vec<f64>> = self.items().iter().map(Self::number).collect();
        numbers?.try_into().ok()
    }

    /// What was found, for messages.
    pub(super) fn describe(&self) -> String {
        match &self.value {
            Value::Table(_) => "a table".into(),
            Value::List(items) => format!("a list of {}", items.len()),
            Value::Text(text) => quote(text),
            Value::Integer(whole) => whole.to_string(),
            Value::Float(number) => format!("{number:?}"),
            Value::Flag(flag) => flag.to_string(),
            Value::Other(name) => (*name).into(),
            Value::Unread => "nothing".into(),
        }
    }
}

/// A text in quotation marks, shortened, on one line.
pub(super) fn quote(text: &str) -> String {
    const SHOWN: usize = 40;
    if text.chars().count() <= SHOWN {
        return format!("{text:?}");
    }
    let head: String = text.chars().take(SHOWN).collect();
    format!("{head:?}…")
}
