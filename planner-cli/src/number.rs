//! Numbers as they are written into files: never a negative zero, which is nothing but the trace of a rounding or of a sign turned round.

use serde::{Serialize, Serializer};
use serde_json::ser::{CompactFormatter, Formatter};
use std::io::{Result, Write};

/// The number, 0 for -0.
pub(crate) fn plain(value: f64) -> f64 {
    value + 0.0
}

/// The text of a number, `0.0` for `-0.0`, which a small negative one may have become.
pub(crate) fn unsigned_zero(text: &str) -> &str {
    match text.strip_prefix('-') {
        Some(zero) if zero.chars().all(|c| matches!(c, '0' | '.')) && !zero.is_empty() => zero,
        _ => text,
    }
}

/// A number in a row of a table.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Number(pub(crate) f64);

impl Serialize for Number {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        serializer.serialize_f64(plain(self.0))
    }
}

/// Compact JSON.
pub(crate) struct PlainNumbers;

impl Formatter for PlainNumbers {
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> Result<()> {
        CompactFormatter.write_f64(writer, plain(value))
    }

    fn write_f32<W: ?Sized + Write>(&mut self, writer: &mut W, value: f32) -> Result<()> {
        CompactFormatter.write_f32(writer, value + 0.0)
    }
}
