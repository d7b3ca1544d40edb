//! Files that grow by a row of JSON a line. A row is on the disk before the next job counts, so that nothing finished is ever lost.

use crate::failure::{Failure, Trouble};
use crate::files;
use crate::sort::Sort;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, SeekFrom, Write};
use std::marker::PhantomData;
use std::path::{Path, PathBuf};

/// What stands on a line.
pub(crate) trait Line: Serialize + DeserializeOwned {
    /// The sort of the file.
    const SORT: Sort;
    /// What is allowed on a line, and what to do about another.
    const ALLOWED: (&'static str, &'static str);

    /// What is wrong with a row, in words.
    fn fault(&self) -> Option<String>;
}

/// A file that grows. Nobody else may add to it at the same time.
pub(crate) struct LinesFile<T> {
    path: PathBuf,
    file: File,
    of: PhantomData<T>,
}

/// What was in a file when it was opened.
pub(crate) struct Earlier<T> {
    pub(crate) rows: Vec<T>,
    /// Whether a line that was not finished has been cut off.
    pub(crate) was_torn: bool,
}

impl<T: Line> LinesFile<T> {
    /// Opens a file, or makes one. A last line without an end is what a kill leaves: it is cut off, and its job is done again.
    pub(crate) fn open(path: &Path) -> Result<(Self, Earlier<T>), Failure> {
        files::permit(path, T::SORT)?;
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
        Ok((Self { path: path.to_owned(), file, of: PhantomData }, Earlier { rows, was_torn }))
    }

    /// Adds a row and sees it to the disk.
    pub(crate) fn append(&mut self, row: &T) -> Result<(), Failure> {
        let line = line(row)?;
        let written = self.file.write_all(line.as_bytes()).and_then(|()| self.file.sync_data());
        written.map_err(|error| files::trouble(&self.path, "written", &error))
    }
}

/// A row as it stands in a file.
pub(crate) fn line(row: &impl Line) -> Result<String, Failure> {
    crate::output::json_line(row)
}

/// The rows of a file, and whether its last line is torn, which is then left out.
pub(crate) fn read<T: Line>(path: &Path) -> Result<Earlier<T>, Failure> {
    let text = files::read_text(path)?;
    let whole = whole_lines(text.as_bytes());
    let rows = parse(path, &text.as_bytes()[..whole])?;
    Ok(Earlier { rows, was_torn: whole < text.len() })
}

/// The number of bytes up to the end of the last whole line.
fn whole_lines(bytes: &[u8]) -> usize {
    bytes.iter().rposition(|&byte| byte == b'\n').map_or(0, |at| at + 1)
}

fn parse<T: Line>(path: &Path, bytes: &[u8]) -> Result<Vec<T>, Failure> {
    let name = files::name(path);
    let refuse = |number: usize, found: String| {
        let (allowed, to_do) = T::ALLOWED;
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
        let row: T = serde_json::from_str(line).map_err(|error| refuse(index + 1, error.to_string()))?;
        if let Some(fault) = row.fault() {
            return Err(refuse(index + 1, fault));
        }
        rows.push(row);
    }
    Ok(rows)
}
