//! Tells what ended a command early.

use crate::failure::{Failure, Trouble};
use crate::output;
use serde::Serialize;

/// What `--json` prints in place of an answer.
#[derive(Serialize)]
struct Refusal<'a> {
    format: &'static str,
    problems: &'a [Trouble],
}

/// The text to stderr and, for a program that waits for JSON, an object to stdout. Returns the exit code.
pub(crate) fn tell(mut failure: Failure, as_json: bool) -> u8 {
    output::complain(&failure.text);
    if as_json {
        if failure.troubles.is_empty() {
            let message = failure.text.strip_prefix("error: ").unwrap_or(&failure.text).to_owned();
            failure.troubles.push(Trouble { message, ..Trouble::default() });
        }
        let refusal = Refusal { format: "clamber-refusal/1", problems: &failure.troubles };
        if let Err(unprinted) = output::json_line(&refusal).and_then(|line| output::print(&line)) {
            output::complain(&unprinted.text);
        }
    }
    failure.code
}
