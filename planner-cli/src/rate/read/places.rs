//! Where a cell stands in the text.

use csv::StringRecord;
use std::ops::Range;

/// The bytes of a cell; of the whole row where there is no such cell. `begin` is where the table begins in the text.
pub(super) fn cell_span(text: &str, begin: usize, row: &StringRecord, cell: usize) -> Range<usize> {
    let at = row.position().map_or(0, |position| usize::try_from(position.byte()).unwrap_or_default());
    let from = skip_comments(text, (begin + at).min(text.len()));
    let (mut index, mut is_quoted, mut start) = (0, false, from);
    for (offset, c) in text[from..].char_indices() {
        let here = from + offset;
        match c {
            '"' => is_quoted = !is_quoted,
            ',' | '\n' if !is_quoted => {
                if index == cell {
                    return start..here;
                }
                if c == '\n' {
                    return from..here;
                }
                (index, start) = (index + 1, here + 1);
            }
            _ => {}
        }
    }
    if index == cell { start..text.len() } else { from..text.len() }
}

/// The reader's position of a row is before the comments and empty lines that precede it.
fn skip_comments(text: &str, mut at: usize) -> usize {
    while let Some(line) = text[at..].split_inclusive('\n').next() {
        if !(line.starts_with('#') || line.trim().is_empty()) {
            break;
        }
        at += line.len();
    }
    at
}
