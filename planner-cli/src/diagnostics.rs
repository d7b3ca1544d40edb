//! Says what is wrong with a file: a sentence with the place and what was found, the line as it stands, what is allowed, what to do.

use crate::failure::{Failure, Trouble};
use crate::sort::Sort;
use clamber_core::Diagnostic;

/// The problems of a file as a failure: all of them, then their number.
pub(crate) fn failure<'a>(diagnostics: impl IntoIterator<Item = &'a Diagnostic>, file: &str) -> Failure {
    let diagnostics: Vec<&Diagnostic> = diagnostics.into_iter().collect();
    let told: String = diagnostics.iter().map(|diagnostic| paragraph(diagnostic) + "\n\n").collect();
    let count = crate::wording::count(diagnostics.len(), "problem");
    Failure::unreadable(format!("{told}{count} in {file}; nothing was done with it"))
        .with(diagnostics.into_iter().map(Trouble::from))
}

/// Refuses a file that is of another sort than what is asked for.
pub(crate) fn wrong_sort(file: &str, found: Sort, wanted: &str, to_do: String) -> Failure {
    let found = found.word();
    let message = format!("{file} is {found}, not {wanted}; {to_do}");
    Failure::unreadable(format!("error: {message}")).with([Trouble {
        file: Some(file.into()),
        found: Some(found.into()),
        allowed: Some(wanted.into()),
        to_do: Some(to_do),
        message,
        ..Trouble::default()
    }])
}

fn paragraph(diagnostic: &Diagnostic) -> String {
    let Diagnostic { quote, allowed, help, .. } = diagnostic;
    let quote = if quote.is_empty() { String::new() } else { format!("    {quote}\n") };
    format!("{}\n{quote}{} {}", message(diagnostic), sentence(allowed), sentence(help))
}

/// `culvert.toml, line 21, kind.cobble.mass_kg: "half" was found.`
pub(crate) fn message(diagnostic: &Diagnostic) -> String {
    let Diagnostic { file, line, field, found, .. } = diagnostic;
    // What is wrong with a text as a whole is in no field.
    let field = if field == "file" { String::new() } else { format!(", {field}") };
    stopped(&format!("{file}, line {line}{field}: {found}"))
}

/// A phrase with a capital, unless it begins with something from the file, and a full stop.
fn sentence(phrase: &str) -> String {
    let end = phrase.find(' ').unwrap_or(phrase.len());
    let (word, rest) = phrase.split_at(end);
    if word.is_empty() || !word.chars().all(|c| c.is_ascii_lowercase() || c == ',') {
        return stopped(phrase);
    }
    stopped(&format!("{}{}{rest}", word[..1].to_uppercase(), &word[1..]))
}

/// Phrases as sentences, one after the other.
pub(crate) fn sentences<'a>(phrases: impl IntoIterator<Item = &'a String>) -> String {
    phrases.into_iter().map(|phrase| sentence(phrase)).collect::<Vec<_>>().join(" ")
}

fn stopped(phrase: &str) -> String {
    let stop = if phrase.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{phrase}{stop}")
}

impl From<&Diagnostic> for Trouble {
    fn from(diagnostic: &Diagnostic) -> Self {
        let Diagnostic { file, line, column, field, found, allowed, help, .. } = diagnostic.clone();
        Self {
            message: message(diagnostic),
            file: Some(file),
            line: Some(line),
            column: Some(column),
            field: Some(field),
            found: Some(found),
            allowed: Some(allowed),
            to_do: Some(help),
        }
    }
}
