//! Reads pull tests: CSV (RFC 4180) with a first line `# clamber-pulls/1`. All mistakes of a file are told at once.
//!
//! What numbers and words mean, and what may stand beside what, is the library's ([`PullTests`]); here text becomes rows. The library reads no CSV,
//! since a controller never does.

mod cells;
mod columns;
mod facts;
mod places;

use self::cells::Row;
use self::columns::Columns;
use crate::diagnostics;
use crate::failure::Failure;
use crate::sort::Sort;
use clamber_core::Diagnostic;
use clamber_core::unstable::rating::{Pull, PullTests};
use csv::{ReaderBuilder, StringRecord, Trim};
use indexmap::IndexMap;
use std::ops::Range;

/// The word that opens a file of pull tests.
pub(crate) const FORMAT: &str = "clamber-pulls/1";

/// Most mistakes that are told: a file that is wrong in every row is wrong in one way.
const MOST: usize = 100;

/// Collects what is wrong with a file.
struct Mistakes<'a> {
    file: &'a str,
    text: &'a str,
    list: Vec<Diagnostic>,
}

impl Mistakes<'_> {
    /// Adds one: where, in which column, what was found, what is allowed, what to do.
    fn add(
        &mut self,
        span: Range<usize>,
        field: &str,
        found: impl Into<String>,
        allowed: impl Into<String>,
        help: impl Into<String>,
    ) {
        if self.list.len() < MOST {
            let told = [field.to_owned(), found.into(), allowed.into(), help.into()];
            self.list.push(Diagnostic::new(self.file, self.text, span, told));
        }
    }
}

/// The pull tests of a text; `file` is what it is called in messages.
pub(crate) fn read(file: &str, text: &str) -> Result<PullTests, Failure> {
    if let Some(found) = Sort::of(text.as_bytes()).filter(|sort| *sort != Sort::Pulls) {
        let to_do = "give a table of pulls, as docs/rating.md explains it".into();
        return Err(diagnostics::wrong_sort(file, found, "a file of pull tests (CSV)", to_do));
    }
    let mut mistakes = Mistakes { file, text, list: Vec::new() };
    let tests = tests(&mut mistakes);
    mistakes.list.sort_by_key(|mistake| mistake.span.start);
    match tests {
        Some(tests) if mistakes.list.is_empty() => Ok(tests),
        _ => Err(diagnostics::failure(&mistakes.list, file)),
    }
}

fn tests(mistakes: &mut Mistakes<'_>) -> Option<PullTests> {
    let text = mistakes.text;
    let rig_limit_n = facts::read(mistakes);
    // A byte order mark is no part of the first line.
    let begin = text.len() - text.trim_start_matches('\u{feff}').len();
    let mut reader = ReaderBuilder::new()
        .comment(Some(b'#'))
        .flexible(true)
        .has_headers(false)
        .trim(Trim::All)
        .from_reader(&text.as_bytes()[begin..]);
    let mut records = reader.records().filter_map(|record| match record {
        Ok(record) => Some(record),
        Err(error) => {
            mistakes.add(
                0..0,
                "file",
                error.to_string(),
                "rows of cells with commas between them are allowed",
                "save the table as CSV (UTF-8)",
            );
            None
        }
    });
    let header = records.next();
    let rows: Vec<StringRecord> = records.filter(|row| row.iter().any(|cell| !cell.is_empty())).collect();
    let Some(header) = header else {
        let found = "there is no header and no row";
        mistakes.add(
            text.len()..text.len(),
            "file",
            found,
            columns::allowed(),
            "add a header and one row for each pull",
        );
        return None;
    };
    let columns = Columns::read(&header, begin, mistakes)?;
    if rows.is_empty() {
        let at = text.len();
        mistakes.add(
            at..at,
            "file",
            "there is no row",
            "one row for each pull is allowed",
            "add the pulls below the header",
        );
    }
    let mut pulls: Vec<Pull> = Vec::new();
    let mut names: IndexMap<String, u64> = IndexMap::new();
    for (index, record) in rows.iter().enumerate() {
        let row = Row { record, columns: &columns, begin, index };
        if let Some(pull) = row.pull(rig_limit_n, mistakes) {
            let line = record.position().map_or(0, csv::Position::line);
            if let Some(earlier) = names.insert(pull.name.clone(), line) {
                let found = format!("{:?} was found, which is in line {earlier} too", pull.name);
                let help = "number the pulls; if a row stands there twice, remove one";
                mistakes.add(
                    row.span("pull", mistakes.text),
                    "pull",
                    found,
                    "a name that no other pull has is allowed",
                    help,
                );
            }
            pulls.push(pull);
        }
    }
    Some(PullTests { rig_limit_n, pulls })
}
