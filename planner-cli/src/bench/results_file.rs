//! Results files: one row of JSON a line. A row is on the disk before the next run counts, so that nothing finished is ever lost.

use super::row::{ROW_FORMAT, Row};
use crate::failure::{Failure, Trouble};
use crate::files;
use crate::sort::Sort;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// A results file that grows. Nobody else may add to it at the same time.
pub(crate) struct ResultsFile {
    path: PathBuf,
    file: File,
}

/// What was in a results file when it was opened.
pub(crate) struct Earlier {
    pub(crate) rows: Vec<Row>,
    /// Whether a line that was not finished has been cut off.
    pub(crate) was_torn: bool,
}

impl ResultsFile {
    /// Opens a file, or makes one. A last line without an end is what a kill leaves: it is cut off, and its run is made again.
    pub(crate) fn open(path: &Path) -> Result<(Self, Earlier), Failure> {
        files::permit(path, Sort::Results)?;
        let trouble = |error: std::io::Error| files::trouble(path, "written", &error);
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(path)
            .map_err(trouble)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let name = path.display();
                return Err(Failure::unreadable(format!(
                    "error: {name} is being written by another clamber; give each a file of its own and merge them later"
                )));
            }
            // Some network disks know no locks.
            Err(TryLockError::Error(_)) => {}
        }
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes).map_err(trouble)?;
        let whole = whole_lines(&bytes);
        let rows = parse(path, &bytes[..whole])?;
        let was_torn = whole < bytes.len();
        if was_torn {
            file.set_len(whole as u64).map_err(trouble)?;
        }
        file.seek(SeekFrom::Start(whole as u64)).map_err(trouble)?;
        Ok((Self { path: path.to_owned(), file }, Earlier { rows, was_torn }))
    }

    /// Adds a row and sees it to the disk.
    pub(crate) fn append(&mut self, row: &Row) -> Result<(), Failure> {
        let line = line(row)?;
        let written = self.file.write_all(line.as_bytes()).and_then(|()| self.file.sync_data());
        written.map_err(|error| files::trouble(&self.path, "written", &error))
    }
}

/// A row as it stands in a file.
pub(crate) fn line(row: &Row) -> Result<String, Failure> {
    crate::output::json_line(row)
}

/// The rows of a results file, and whether its last line is torn, which is then left out.
pub(crate) fn read(path: &Path) -> Result<Earlier, Failure> {
    let text = files::read_text(path)?;
    let whole = whole_lines(text.as_bytes());
    let rows = parse(path, &text.as_bytes()[..whole])?;
    Ok(Earlier { rows, was_torn: whole < text.len() })
}

/// The number of bytes up to the end of the last whole line.
fn whole_lines(bytes: &[u8]) -> usize {
    bytes.iter().rposition(|&byte| byte == b'\n').map_or(0, |at| at + 1)
}

fn parse(path: &Path, bytes: &[u8]) -> Result<Vec<Row>, Failure> {
    let name = files::name(path);
    let refuse = |number: usize, found: String| {
        let (allowed, to_do) =
            ("a row as in `clamber schema results` is allowed", "give a results file, or take the line out");
        let message = format!("{name}, line {number}: {found}; {allowed}; {to_do}");
        Failure::unreadable(format!("error: {message}")).with([Trouble {
            file: Some(name.clone()),
            line: Some(number),
            found: Some(found),
            allowed: Some(allowed.into()),
            to_do: Some(to_do.into()),
            message,
            ..Trouble::default()
        }])
    };
    let text = std::str::from_utf8(bytes).map_err(|_| refuse(1, "this is no UTF-8 text".into()))?;
    let mut rows = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let row: Row = serde_json::from_str(line).map_err(|error| refuse(index + 1, error.to_string()))?;
        if row.format != ROW_FORMAT {
            return Err(refuse(index + 1, format!("format {:?} was found", row.format)));
        }
        if !row.is_honest() {
            let found = "status \"solved\" was found without a plan that passed the check";
            return Err(refuse(index + 1, found.into()));
        }
        rows.push(row);
    }
    Ok(rows)
}
