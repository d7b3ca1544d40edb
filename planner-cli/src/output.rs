//! Text to stdout and stderr. A reader that has gone away (`clamber ... | head`) is no error.

use crate::failure::Failure;
use crate::number::PlainNumbers;
use std::io::{ErrorKind, Write};

/// Prints to stdout, as it is.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = std::io::stdout().lock();
    match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::unreadable(format!(
            "error: stdout cannot be written: {error}; send it to a file on another disk"
        ))),
        _ => Ok(()),
    }
}

/// Prints lines to stderr; there is nobody to tell if that fails.
pub(crate) fn complain(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}

/// A value as JSON.
pub(crate) fn json(value: &impl serde::Serialize) -> Result<String, Failure> {
    let mut bytes = Vec::new();
    let mut serializer = serde_json::Serializer::with_formatter(&mut bytes, PlainNumbers);
    let done = value.serialize(&mut serializer).map_err(|error| error.to_string());
    done.and_then(|()| String::from_utf8(bytes).map_err(|error| error.to_string())).map_err(|error| {
        Failure::not_sound(format!("internal error: no JSON: {error}; please report this with the file"))
    })
}

/// The same on a line of its own.
pub(crate) fn json_line(value: &impl serde::Serialize) -> Result<String, Failure> {
    json(value).map(|text| text + "\n")
}
