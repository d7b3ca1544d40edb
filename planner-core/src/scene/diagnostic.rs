//! What is wrong with a file, where, and what to do about it.

use std::fmt;
use std::ops::Range;

/// One problem of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Name of the file, as given by the caller.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Bytes of the text it is about.
    pub span: Range<usize>,
    /// The field, such as `module[2].at_m` (lists count from 0) or `kind.cobble.mass_kg`; `file` for the text as a whole.
    pub field: String,
    /// What was found.
    pub found: String,
    /// What is allowed.
    pub allowed: String,
    /// What to do.
    pub help: String,
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, line, column, field, found, allowed, help, .. } = self;
        write!(f, "{file}:{line}:{column}: {field}: {found}; {allowed}; {help}")
    }
}

/// All problems of a file, in the order of the text. Never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostics {
    list: Vec<Diagnostic>,
}

impl Diagnostics {
    /// The problems.
    pub fn iter(&self) -> std::slice::Iter<'_, Diagnostic> {
        self.list.iter()
    }
}

impl<'a> IntoIterator for &'a Diagnostics {
    type Item = &'a Diagnostic;
    type IntoIter = std::slice::Iter<'a, Diagnostic>;

    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl fmt::Display for Diagnostics {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, diagnostic) in self.list.iter().enumerate() {
            if index > 0 {
                writeln!(f)?;
            }
            diagnostic.fmt(f)?;
        }
        Ok(())
    }
}

impl std::error::Error for Diagnostics {}

/// Collects the problems of one file.
#[derive(Debug)]
pub(super) struct Report<'a> {
    file: &'a str,
    text: &'a str,
    line_ends: Vec<usize>,
    list: Vec<Diagnostic>,
}

impl<'a> Report<'a> {
    pub(super) fn new(file: &'a str, text: &'a str) -> Self {
        let line_ends = text.match_indices('\n').map(|(at, _)| at).collect();
        Self { file, text, line_ends, list: Vec::new() }
    }

    /// Adds a problem: which field, what was found, what is allowed, what to do.
    pub(super) fn add(
        &mut self,
        span: &Range<usize>,
        field: impl Into<String>,
        found: impl Into<String>,
        allowed: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.list.push(Diagnostic {
            file: self.file.into(),
            line: 1,
            column: 1,
            span: span.clone(),
            field: field.into(),
            found: found.into(),
            allowed: allowed.into(),
            help: help.into(),
        });
    }

    /// Line of a byte, from 1.
    pub(super) fn line_of(&self, at: usize) -> usize {
        1 + self.line_ends.partition_point(|&end| end < at)
    }

    /// Whether nothing was wrong so far.
    pub(super) const fn is_clean(&self) -> bool {
        self.list.is_empty()
    }

    /// The problems in the order of the text, with lines and columns.
    pub(super) fn finish(mut self) -> Diagnostics {
        self.list.sort_by_key(|diagnostic| diagnostic.span.start);
        let mut rest = self.list.iter_mut().peekable();
        let (mut line, mut column) = (1, 1);
        for (at, character) in self.text.char_indices() {
            while let Some(here) = rest.next_if(|d| d.span.start < at + character.len_utf8()) {
                (here.line, here.column) = (line, column);
            }
            if rest.peek().is_none() {
                break;
            }
            (line, column) = if character == '\n' { (line + 1, 1) } else { (line, column + 1) };
        }
        for past_the_end in rest {
            (past_the_end.line, past_the_end.column) = (line, column);
        }
        Diagnostics { list: self.list }
    }
}

/// The candidate most like a mistyped word, if any is like it.
pub(super) fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    const LIKE: f64 = 0.6;
    candidates
        .into_iter()
        .map(|candidate| (strsim::normalized_damerau_levenshtein(word, candidate), candidate))
        .filter(|(likeness, _)| *likeness >= LIKE)
        .reduce(|best, next| if next.0 > best.0 { next } else { best })
        .map(|(_, candidate)| candidate)
}
