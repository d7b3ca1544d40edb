//! Files in and out. Writing goes through a temporary file in the same folder and a rename, so that a reader sees the old file or the
//! new one, never half of one.

use crate::failure::Failure;
use std::fs::Permissions;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

/// More than any file the library reads, so that an endless file does not fill the memory.
const LONGEST: u64 = 1 << 27;

/// How a file is called in messages.
pub(crate) fn name(path: &Path) -> String {
    if is_stdin(path) { "<stdin>".into() } else { path.display().to_string() }
}

/// The text of a file, or of stdin for `-`.
pub(crate) fn read_text(path: &Path) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    let read = if is_stdin(path) {
        std::io::stdin().lock().take(LONGEST).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(path).and_then(|file| file.take(LONGEST).read_to_end(&mut bytes))
    };
    read.map_err(|error| trouble(path, "read", &error))?;
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        Failure::unreadable(format!(
            "error: {} is not UTF-8 text: byte {at} is wrong; save it as UTF-8, or give another file",
            name(path)
        ))
    })
}

/// Makes sure, before long work, that a file can be written later.
pub(crate) fn probe(path: &Path) -> Result<(), Failure> {
    let target = resolve(path)?;
    if target.exists() && !target.is_file() {
        return Ok(());
    }
    temporary(&target).map(drop).map_err(|error| trouble(path, "written", &error))
}

/// Replaces a file in one go, or writes straight to what is no ordinary file (a pipe, a device).
pub(crate) fn write_whole(path: &Path, text: &str) -> Result<(), Failure> {
    write_bytes(path, text.as_bytes())
}

/// The same for what is no text.
pub(crate) fn write_bytes(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let target = resolve(path)?;
    let written = if target.exists() && !target.is_file() {
        std::fs::OpenOptions::new().write(true).open(&target).and_then(|mut file| file.write_all(bytes))
    } else {
        temporary(&target).and_then(|mut file| {
            file.write_all(bytes)?;
            file.as_file().sync_all()?;
            file.persist(&target).map(drop).map_err(|error| error.error)
        })
    };
    written.map_err(|error| trouble(path, "written", &error))
}

/// Whether both name one file that exists.
pub(crate) fn same(a: &Path, b: &Path) -> bool {
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}

/// A failure that names the file and says what to do.
pub(crate) fn trouble(path: &Path, verb: &str, error: &std::io::Error) -> Failure {
    let advice = match error.kind() {
        ErrorKind::NotFound if verb == "read" => "there is no such file; check its name and folder",
        ErrorKind::NotFound => "its folder does not exist; make that first",
        ErrorKind::PermissionDenied => "permission is denied; change the permissions or choose another file",
        ErrorKind::IsADirectory => "it is a folder; give a file",
        ErrorKind::NotADirectory => "part of its path is no folder; check the path",
        ErrorKind::StorageFull => "the disk is full; make room or choose another disk",
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only; choose another",
        _ => return Failure::unreadable(format!("error: {} cannot be {verb}: {error}", name(path))),
    };
    Failure::unreadable(format!("error: {} cannot be {verb}: {advice}", name(path)))
}

fn is_stdin(path: &Path) -> bool {
    path.as_os_str() == "-"
}

/// The file behind a path: a link stays a link, its target is replaced.
fn resolve(path: &Path) -> Result<PathBuf, Failure> {
    if path.is_dir() {
        return Err(trouble(path, "written", &ErrorKind::IsADirectory.into()));
    }
    if path.file_name().is_none() {
        return Err(Failure::unreadable(format!("error: {:?} is no file name; give one", path.as_os_str())));
    }
    Ok(path.canonicalize().unwrap_or_else(|_| path.to_owned()))
}

fn temporary(target: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let folder = target.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or_else(|| Path::new("."));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".clamber-");
    if let Some(permissions) = permissions(target) {
        builder.permissions(permissions);
    }
    builder.tempfile_in(folder)
}

/// Those of the file that is replaced; for a new one whatever the user's mask leaves.
#[cfg(unix)]
fn permissions(target: &Path) -> Option<Permissions> {
    use std::os::unix::fs::PermissionsExt;
    let old = std::fs::metadata(target).ok().map(|m| m.permissions());
    Some(old.unwrap_or_else(|| Permissions::from_mode(0o666)))
}

#[cfg(not(unix))]
fn permissions(_: &Path) -> Option<Permissions> {
    None
}
