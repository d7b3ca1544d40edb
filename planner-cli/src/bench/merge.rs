//! `clamber bench merge`: several results files into one.

use super::row::{Key, Row};
use crate::args::MergeArgs;
use crate::failure::Failure;
use crate::lines_file::{self, line};
use crate::sort::Sort;
use crate::{exit_code, files, output, wording};
use serde::Serialize;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

#[derive(Serialize)]
struct MergeEntry {
    format: &'static str,
    rows: usize,
    /// Rows that were left out because their run had one already.
    twice: usize,
    written_to: String,
}

pub(crate) fn run(args: &MergeArgs) -> Result<u8, Failure> {
    if let Some(input) = args.results.iter().find(|input| files::same(input, &args.output)) {
        let name = input.display();
        return Err(Failure::unreadable(format!(
            "error: -o is {name}, which is to be merged; give another file"
        )));
    }
    let merged = merged(&args.results)?;
    let lines: String = merged.rows.iter().map(line).collect::<Result<_, _>>()?;
    files::write(&args.output, Sort::Results, &lines)?;
    let twice =
        if merged.twice == 0 { String::new() } else { format!(", {} were there twice", merged.twice) };
    if args.json {
        let rows = merged.rows.len();
        let written_to = args.output.display().to_string();
        let told = MergeEntry { format: "clamber-merge/1", rows, twice: merged.twice, written_to };
        output::print(&output::json_line(&told)?)?;
        return Ok(exit_code::DONE);
    }
    let told = format!(
        "{} from {} written to {}{twice}",
        wording::count(merged.rows.len(), "row"),
        wording::count(args.results.len(), "file"),
        args.output.display()
    );
    output::complain(&told);
    Ok(exit_code::DONE)
}

/// Rows of several files.
pub(crate) struct Merged {
    /// Each run once, in an order that does not depend on that of the files.
    pub(crate) rows: Vec<Row>,
    /// Rows that were left out because their run had one already.
    pub(crate) twice: usize,
}

/// Reads results files. Of runs that are there twice the first row is kept; both must say the same but for what is measured.
pub(crate) fn merged(paths: &[PathBuf]) -> Result<Merged, Failure> {
    let mut rows: BTreeMap<(String, Key), (Row, &Path)> = BTreeMap::new();
    let mut twice = 0;
    for path in paths {
        let read = lines_file::read::<Row>(path)?;
        if read.was_torn {
            let name = files::name(path);
            output::complain(&format!(
                "{name}: the last line is not finished and is left out; `clamber bench` makes its run again"
            ));
        }
        for row in read.rows {
            let place = (row.scene.clone(), row.key());
            let Some((first, first_path)) = rows.get(&place) else {
                rows.insert(place, (row, path));
                continue;
            };
            if let Some(field) = first.disagreement(&row) {
                return Err(Failure::not_sound(format!(
                    "error: {} and {} both have the run {} and disagree about its {field}: {} and {}; nothing was done\n\
                     The same run of the same build must have the same answer. Near a limit one machine may be too slow: \
                     take one of the rows out, or give more time.",
                    files::name(first_path),
                    files::name(path),
                    row.called(),
                    first.status.word(),
                    row.status.word()
                )));
            }
            twice += 1;
        }
    }
    Ok(Merged { rows: rows.into_values().map(|(row, _)| row).collect(), twice })
}
