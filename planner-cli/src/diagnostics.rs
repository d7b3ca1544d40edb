//! Draws what is wrong with a file under the line it is about.

use crate::failure::Failure;
use crate::output;
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use clamber_core::Diagnostic;
use std::fmt::Write;
use std::ops::Range;

/// Problems drawn with their lines; more are listed one to a line.
const DRAWN: usize = 20;
/// Longest stretch of text that is drawn, in bytes.
const LONGEST: usize = 1000;

/// The problems of a file as a failure: all of them, then their number.
pub(crate) fn failure<'a>(
    diagnostics: impl IntoIterator<Item = &'a Diagnostic>,
    file: &str,
    text: &str,
) -> Failure {
    let renderer = if output::stderr_is_coloured() { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(100);
    let mut lines = String::new();
    let mut count = 0;
    for diagnostic in diagnostics {
        match draw(diagnostic, text).filter(|_| count < DRAWN) {
            Some(group) => {
                let _ = writeln!(lines, "{}\n", renderer.render(&[group]));
            }
            None => {
                let _ = writeln!(lines, "error: {diagnostic}");
            }
        }
        count += 1;
    }
    let problems = if count == 1 { "1 problem".to_owned() } else { format!("{count} problems") };
    let _ = write!(lines, "{problems} in {file}; nothing was done with it");
    Failure::unreadable(lines)
}

/// The drawing of one problem; none if its line is too long to read.
fn draw<'a>(diagnostic: &'a Diagnostic, text: &'a str) -> Option<annotate_snippets::Group<'a>> {
    let title = format!("{}: {}", diagnostic.field, diagnostic.found);
    let help = Level::HELP.message(diagnostic.help.as_str());
    let (window, span) = window(text, &diagnostic.span)?;
    let snippet = Snippet::source(window)
        .line_start(diagnostic.line)
        .path(diagnostic.file.as_str())
        .annotation(AnnotationKind::Primary.span(span).label(diagnostic.allowed.as_str()));
    Some(Level::ERROR.primary_title(title).element(snippet).element(help))
}

/// The first line of a span, and where the span lies in it.
fn window<'a>(text: &'a str, span: &Range<usize>) -> Option<(&'a str, Range<usize>)> {
    let at = span.start.min(text.len());
    let before = text.get(..at)?;
    let begin = before.rfind('\n').map_or(0, |newline| newline + 1);
    let end = text.get(at..)?.find('\n').map_or(text.len(), |newline| at + newline);
    let line = text.get(begin..end)?;
    let last = span.end.clamp(at, end);
    (line.len() <= LONGEST).then(|| (line, at - begin..last - begin))
}
