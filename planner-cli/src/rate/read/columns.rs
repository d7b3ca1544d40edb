//! The columns of a file of pull tests.

use super::Mistakes;
use super::places::cell_span;
use csv::StringRecord;
use strsim::normalized_damerau_levenshtein;

/// Columns that every file has.
pub(super) const NEEDED: [&str; 8] =
    ["module", "kind", "hold", "surface", "angle_deg", "offset_m", "force_n", "result"];
/// Columns that a file may have.
pub(super) const OPTIONAL: [&str; 7] =
    ["pull", "date", "temperature_c", "vacuum_pa", "tilt_deg", "dropped", "note"];

/// What stands in which cell of a row.
pub(super) struct Columns {
    names: Vec<String>,
}

/// The columns that are needed, in words.
pub(super) fn allowed() -> String {
    format!(
        "a header with the columns {} is allowed, and {} are optional",
        NEEDED.join(", "),
        OPTIONAL.join(", ")
    )
}

impl Columns {
    /// Of a header; `None` if rows cannot be read under it. `begin` is where the table begins in the text.
    pub(super) fn read(header: &StringRecord, begin: usize, mistakes: &mut Mistakes<'_>) -> Option<Self> {
        let names: Vec<String> = header.iter().map(str::to_owned).collect();
        let line = cell_span(mistakes.text, begin, header, 0);
        if let [only] = names.as_slice()
            && let Some(separator) = [';', '\t'].into_iter().find(|c| only.contains(*c))
        {
            let found = if separator == ';' {
                "cells with semicolons between them were found"
            } else {
                "cells with tabs between them were found"
            };
            let help = "save the table as CSV with commas between the cells, and points in numbers";
            mistakes.add(line, "file", found, "cells with commas between them are allowed", help);
            return None;
        }
        let mut is_sound = true;
        for (index, name) in names.iter().enumerate() {
            let span = cell_span(mistakes.text, begin, header, index);
            if name.is_empty() {
                let help = "name the column, or remove it";
                mistakes.add(
                    span,
                    "file",
                    format!("column {} has no name", index + 1),
                    "a name in every cell of the header is allowed",
                    help,
                );
                is_sound = false;
            } else if names[..index].contains(name) {
                mistakes.add(
                    span,
                    name,
                    "the column is there twice",
                    "each column is allowed once",
                    "remove or rename one of them",
                );
                is_sound = false;
            }
        }
        for needed in NEEDED.into_iter().filter(|needed| !names.iter().any(|name| name == needed)) {
            let like = names.iter().find(|name| is_like(name, needed));
            let help = like.map_or_else(
                || "add this column".into(),
                |name| format!("is it the column {name:?}? Then rename that"),
            );
            mistakes.add(line.clone(), needed, "there is no such column", allowed(), help);
            is_sound = false;
        }
        for (index, name) in names.iter().enumerate().filter(|(_, name)| !NEEDED.contains(&name.as_str())) {
            if let Some(meant) = OPTIONAL.into_iter().find(|known| {
                name != known && *known != "note" && is_like(name, known) && !names.iter().any(|n| n == known)
            }) {
                let span = cell_span(mistakes.text, begin, header, index);
                let help = format!(
                    "did you mean `{meant}`? If it is a column of your own, give it a name less like that"
                );
                mistakes.add(
                    span,
                    name,
                    "a name was found that is nearly that of a known column",
                    allowed(),
                    help,
                );
                is_sound = false;
            }
        }
        is_sound.then_some(Self { names })
    }

    pub(super) fn len(&self) -> usize {
        self.names.len()
    }

    /// Where a column stands.
    pub(super) fn find(&self, name: &str) -> Option<usize> {
        self.names.iter().position(|own| own == name)
    }

    /// The columns that the file adds, the note among them.
    pub(super) fn free(&self) -> impl Iterator<Item = (usize, &str)> {
        let is_known = |name: &str| NEEDED.contains(&name) || (OPTIONAL.contains(&name) && name != "note");
        self.names.iter().map(String::as_str).enumerate().filter(move |(_, name)| !is_known(name))
    }
}

/// Whether a name is a column's with a slip of the pen, another case or another unit.
fn is_like(name: &str, known: &str) -> bool {
    let name = name.to_lowercase().replace([' ', '-'], "_");
    let stem = |word: &str| word.split(['_', '(', '[']).next().unwrap_or_default().to_owned();
    name == known
        || normalized_damerau_levenshtein(&name, known) >= 0.8
        || (known.contains('_') && stem(&name) == stem(known))
}
