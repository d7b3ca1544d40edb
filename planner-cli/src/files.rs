//! Files in and out. Writing goes through a temporary file in the same folder and a rename, so that a reader sees the old file or the
//! new one, never half of one. A file is replaced only by one of its own [`Sort`].

use crate::failure::Failure;
use crate::sort::Sort;
use std::fs::Permissions;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

/// More than any file the library reads, so that an endless file does not fill the memory.
const LONGEST: u64 = 1 << 27;

/// More than any survey that can be fitted in one go.
const LONGEST_SURVEY: u64 = 1 << 30;

/// How a file is called in messages.
pub(crate) fn name(path: &Path) -> String {
    if is_stdin(path) { "<stdin>".into() } else { path.display().to_string() }
}

/// The text of a file, or of stdin for `-`.
pub(crate) fn read_text(path: &Path) -> Result<String, Failure> {
    let bytes = read_bytes(path).map_err(|error| trouble(path, "read", &error))?;
    utf8(bytes)
        .map_err(|why| Failure::unreadable(format!("error: {} is {why}, or give another file", name(path))))
}

/// The same for a file that is spoken of elsewhere: an error is only the reason.
pub(crate) fn read_plainly(path: &Path) -> Result<String, String> {
    let bytes = read_bytes(path).map_err(|error| reason("read", &error))?;
    utf8(bytes).map_err(|why| format!("it is {why}"))
}

fn utf8(bytes: Vec<u8>) -> Result<String, String> {
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        format!("not UTF-8 text: byte {at} is wrong; save it as UTF-8")
    })
}

fn read_bytes(path: &Path) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    if is_stdin(path) {
        std::io::stdin().lock().take(LONGEST).read_to_end(&mut bytes)?;
    } else {
        std::fs::File::open(path)?.take(LONGEST).read_to_end(&mut bytes)?;
    }
    Ok(bytes)
}

/// The bytes of a survey, as a whole.
pub(crate) fn read_survey(path: &Path) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let read =
        std::fs::File::open(path).and_then(|file| file.take(LONGEST_SURVEY + 1).read_to_end(&mut bytes));
    read.map_err(|error| trouble(path, "read", &error))?;
    if bytes.len() as u64 > LONGEST_SURVEY {
        let file = path.display();
        return Err(Failure::unreadable(format!(
            "error: {file} is longer than 1 GiB, and surveys up to that are allowed; cut out the part that matters with the survey's own program"
        )));
    }
    Ok(bytes)
}

/// Makes sure, before long work, that a file of a sort can be written later.
pub(crate) fn probe(path: &Path, sort: Sort) -> Result<(), Failure> {
    permit(path, sort)?;
    let target = resolve(path)?;
    if is_no_ordinary_file(&target) {
        return Ok(());
    }
    temporary(&target).map(drop).map_err(|error| trouble(path, "written", &error))
}

/// Writes a file, or replaces one of the same sort in one go, or writes straight to what is no ordinary file (a pipe, a device).
pub(crate) fn write(path: &Path, sort: Sort, content: impl AsRef<[u8]>) -> Result<(), Failure> {
    permit(path, sort)?;
    let bytes = content.as_ref();
    let target = resolve(path)?;
    let written = if is_no_ordinary_file(&target) {
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

/// Refuses a name that says it is of another sort, and to replace a file of another sort. What is empty may be replaced.
pub(crate) fn permit(path: &Path, sort: Sort) -> Result<(), Failure> {
    let file = path.display();
    let (what, endings) = (sort.word(), endings(sort));
    if is_stdin(path) {
        return Err(Failure::unreadable(format!(
            "error: {what} cannot be written to -; give a file with a name that ends in {endings}"
        )));
    }
    if is_no_ordinary_file(path) {
        return Ok(());
    }
    if path.exists() {
        let content = read_bytes(path).map_err(|error| trouble(path, "read", &error))?;
        let found = Sort::of(&content);
        if !content.is_empty() && found != Some(sort) {
            let found = found.map_or("a file that clamber did not make", Sort::word);
            return Err(Failure::unreadable(format!(
                "error: {file} is {found}, and {what} would be written over it; give another file, with a name that ends in {endings}"
            )));
        }
    }
    let ending = path.extension().map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    match ending {
        Some(ending) if !sort.endings().contains(&ending.as_str()) => Err(Failure::unreadable(format!(
            "error: {file} is no name for {what}, which would be written there; give a name that ends in {endings}"
        ))),
        _ => Ok(()),
    }
}

/// `.html or .htm`.
fn endings(sort: Sort) -> String {
    sort.endings().iter().map(|ending| format!(".{ending}")).collect::<Vec<_>>().join(" or ")
}

fn is_no_ordinary_file(path: &Path) -> bool {
    path.exists() && !path.is_file() && !path.is_dir()
}

/// Makes a folder, with those above it, if it is not there.
pub(crate) fn make_folder(path: &Path) -> Result<(), Failure> {
    std::fs::create_dir_all(path).map_err(|error| trouble(path, "made a folder", &error))
}

/// Whether both name one file that exists.
pub(crate) fn same(a: &Path, b: &Path) -> bool {
    matches!((a.canonicalize(), b.canonicalize()), (Ok(a), Ok(b)) if a == b)
}

/// A failure that names the file and says what to do.
pub(crate) fn trouble(path: &Path, verb: &str, error: &std::io::Error) -> Failure {
    let why = reason(verb, error);
    Failure::unreadable(format!("error: {} cannot be {verb}: {why}", name(path)))
}

/// Why a file cannot be read, written or made a folder, and what to do about it.
fn reason(verb: &str, error: &std::io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound if verb == "read" => "there is no such file; check its name and folder",
        ErrorKind::NotFound => "its folder does not exist; make that first",
        ErrorKind::PermissionDenied => "permission is denied; change the permissions or choose another file",
        ErrorKind::IsADirectory => "it is a folder; give a file",
        ErrorKind::NotADirectory => "part of its path is a file; check the path, or choose another folder",
        ErrorKind::AlreadyExists => {
            "there is a file of that name; choose another name, or move the file away"
        }
        ErrorKind::StorageFull => "the disk is full; make room or choose another disk",
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only; choose another",
        _ => return format!("{error}; try again, or choose another file"),
    }
    .to_owned()
}

pub(crate) fn is_stdin(path: &Path) -> bool {
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
