//! The layout of JSON files: an entry a line, and lists of anything but tables on one line.

use serde_json::ser::{Formatter, PrettyFormatter};
use std::io::{Result, Write};

/// Lays JSON out. Between the items of a list nothing is written until it is known whether a table follows.
#[derive(Debug, Default)]
pub(super) struct Layout {
    pretty: PrettyFormatter<'static>,
    depth: usize,
    /// For each open list, whether it holds tables.
    lists: Vec<bool>,
    item_is_next: bool,
}

impl Layout {
    fn new_line<W: ?Sized + Write>(&self, writer: &mut W) -> Result<()> {
        writer.write_all(b"\n")?;
        (0..self.depth).try_for_each(|_| writer.write_all(b"  "))
    }
}
