//! Text to stdout and stderr. A reader that has gone away (`clamber ... | head`) is no error.

use crate::failure::Failure;
use std::io::{ErrorKind, IsTerminal, Write};

/// Prints to stdout, as it is.
pub(crate) fn print(text: &str) -> Result<(), Failure> {
    let mut stdout = std::io::stdout().lock();
    match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::unreadable(format!("error: stdout cannot be written: {error}")))
        }
        _ => Ok(()),
    }
}

/// Prints lines to stderr; there is nobody to tell if that fails.
pub(crate) fn complain(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}

/// Whether stderr may be coloured: a terminal, and `NO_COLOR` is not set.
pub(crate) fn stderr_is_coloured() -> bool {
    std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// A value as one line of JSON.
pub(crate) fn json_line(value: &impl serde::Serialize) -> Result<String, Failure> {
    let text = serde_json::to_string(value);
    text.map(|text| text + "\n")
        .map_err(|error| Failure::not_sound(format!("internal error: no JSON: {error}")))
}
