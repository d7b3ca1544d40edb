//! The layout of JSON files: one line for every field, and lists on one line unless they contain tables.

use serde_json::ser::{CompactFormatter, Formatter};
use std::io::{Result, Write};

/// Formats JSON in this layout.
#[derive(Debug, Default)]
pub(super) struct Layout {
    open: Vec<Open>,
}

/// An open table or list.
#[derive(Debug)]
struct Open {
    is_list: bool,
    has_lines: bool,
}

impl Layout {
    fn begin<W: ?Sized + Write>(&mut self, writer: &mut W, is_list: bool, bracket: &[u8]) -> Result<()> {
        self.open.push(Open { is_list, has_lines: false });
        writer.write_all(bracket)
    }

    fn end<W: ?Sized + Write>(&mut self, writer: &mut W, bracket: &[u8]) -> Result<()> {
        if self.open.pop().is_some_and(|inner| inner.has_lines) {
            self.indent(writer)?;
        }
        writer.write_all(bracket)
    }

    /// A new line inside the open table or list.
    fn line<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        if let Some(inner) = self.open.last_mut() {
            inner.has_lines = true;
        }
        self.indent(writer)
    }

    fn indent<W: ?Sized + Write>(&self, writer: &mut W) -> Result<()> {
        writer.write_all(b"\n")?;
        self.open.iter().try_for_each(|_| writer.write_all(b"  "))
    }
}

impl Formatter for Layout {
    fn begin_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.begin(writer, true, b"[")
    }

    fn end_array<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.end(writer, b"]")
    }

    fn begin_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        if self.open.last().is_some_and(|outer| outer.is_list) {
            self.line(writer)?;
        }
        self.begin(writer, false, b"{")
    }

    fn end_object<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        self.end(writer, b"}")
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> Result<()> {
        if !first {
            writer.write_all(b",")?;
        }
        self.line(writer)
    }

    /// A negative zero comes only from rounding.
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> Result<()> {
        CompactFormatter.write_f64(writer, value + 0.0)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> Result<()> {
        writer.write_all(b": ")
    }
}
