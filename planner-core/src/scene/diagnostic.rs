//! Diagnostics: what is wrong with a file, where, and what to do about it.

use std::borrow::Cow;
use std::fmt;
use std::ops::Range;

/// Most characters quoted of a line, before and after the place of an error.
const QUOTED: [usize; 2] = [70, 70];

/// One error in a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// Name of the file, as given by the caller.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The range of bytes of the text with the error.
    pub span: Range<usize>,
    /// The line of the text; of a very long one, the part around the place.
    pub quote: String,
    /// The field, such as `module[2].at_m` (lists count from 0) or `kind.cobble.mass_kg`; `file` for the text as a whole.
    pub field: String,
    /// What was found.
    pub found: String,
    /// What is allowed.
    pub allowed: String,
    /// What to do.
    pub help: String,
}

impl Diagnostic {
    /// An error in a text: which field, what was found, what is allowed, what to do.
    #[must_use]
    pub fn new(
        file: &str,
        text: &str,
        span: Range<usize>,
        [field, found, allowed, help]: [String; 4],
    ) -> Self {
        let mut problem = Self {
            file: file.into(),
            line: 1,
            column: 1,
            span,
            quote: String::new(),
            field,
            found,
            allowed,
            help,
        };
        Source::new(file.into(), text.into()).place(std::slice::from_mut(&mut problem));
        problem
    }
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, line, column, field, found, allowed, help, .. } = self;
        write!(f, "{file}:{line}:{column}: {field}: {found}; {allowed}; {help}")
    }
}

/// All errors in a file, in the order of the text. Never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostics {
    list: Vec<Diagnostic>,
}

impl Diagnostics {
    /// The errors, in the order of the text.
    pub fn iter(&self) -> std::slice::Iter<'_, Diagnostic> {
        self.list.iter()
    }
}

impl From<Diagnostic> for Diagnostics {
    fn from(only: Diagnostic) -> Self {
        Self { list: vec![only] }
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

/// Collects the errors of a file, and of the files that it includes.
///
/// The texts are concatenated, so that a span identifies the file it is in.
#[derive(Debug)]
pub(super) struct Report<'a> {
    sources: Vec<Source<'a>>,
    list: Vec<Diagnostic>,
}

/// A file, and where its text begins in the concatenation.
#[derive(Debug)]
struct Source<'a> {
    file: Cow<'a, str>,
    text: Cow<'a, str>,
    begin: usize,
    line_ends: Vec<usize>,
}

impl<'a> Report<'a> {
    pub(super) fn new(file: impl Into<Cow<'a, str>>, text: impl Into<Cow<'a, str>>) -> Self {
        Self { sources: vec![Source::new(file.into(), text.into())], list: Vec::new() }
    }

    /// Adds an error: which field, what was found, what is allowed, what to do.
    pub(super) fn add(
        &mut self,
        span: &Range<usize>,
        field: impl Into<String>,
        found: impl Into<String>,
        allowed: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.list.push(Diagnostic {
            file: String::new(),
            line: 1,
            column: 1,
            span: span.clone(),
            quote: String::new(),
            field: field.into(),
            found: found.into(),
            allowed: allowed.into(),
            help: help.into(),
        });
    }

    /// Adds the contents of another report; returns the offset that was added to its spans.
    pub(super) fn take_in(&mut self, other: Report<'a>) -> usize {
        // One byte between two texts, so that the end of one is not the beginning of the next.
        let moved = self.sources.last().map_or(0, |last| last.begin + last.text.len() + 1);
        self.sources.extend(other.sources.into_iter().map(|s| Source { begin: s.begin + moved, ..s }));
        self.list.extend(other.list.into_iter().map(|d| Diagnostic { span: shifted(&d.span, moved), ..d }));
        moved
    }

    /// Line of a byte, from 1.
    pub(super) fn line_of(&self, at: usize) -> usize {
        self.sources.iter().rfind(|source| source.begin <= at).map_or(1, |source| source.line_of(at))
    }

    /// Whether no error has been found so far.
    pub(super) const fn is_clean(&self) -> bool {
        self.list.is_empty()
    }

    /// The errors in the order of the texts, with files, lines, columns and quotes.
    pub(super) fn finish(mut self) -> Diagnostics {
        self.list.sort_by_key(|diagnostic| diagnostic.span.start);
        let mut rest = self.list.as_mut_slice();
        for (index, source) in self.sources.iter().enumerate() {
            let end = self.sources.get(index + 1).map_or(usize::MAX, |next| next.begin);
            let (own, others) = rest.split_at_mut(rest.partition_point(|d| d.span.start < end));
            source.place(own);
            rest = others;
        }
        Diagnostics { list: self.list }
    }
}

impl<'a> Source<'a> {
    fn new(file: Cow<'a, str>, text: Cow<'a, str>) -> Self {
        let line_ends = text.match_indices('\n').map(|(at, _)| at).collect();
        Self { file, text, begin: 0, line_ends }
    }

    fn line_of(&self, at: usize) -> usize {
        1 + self.line_ends.partition_point(|&end| self.begin + end < at)
    }

    /// Fills in the positions of sorted errors in this file, in one pass over the text, which may be one long line.
    fn place(&self, problems: &mut [Diagnostic]) {
        for problem in problems.iter_mut() {
            problem.file = self.file.clone().into_owned();
            problem.span = problem.span.start - self.begin..problem.span.end.max(self.begin) - self.begin;
            problem.quote = quoted(&self.text, problem.span.start);
        }
        let mut rest = problems.iter_mut().peekable();
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
    }
}

/// A span with an offset added.
pub(super) fn shifted(span: &Range<usize>, by: usize) -> Range<usize> {
    span.start + by..span.end + by
}

/// The line around a byte of a text, cut where it is long.
fn quoted(text: &str, at: usize) -> String {
    let [before, from] = QUOTED;
    let (head, tail) = text.split_at(text.floor_char_boundary(at));
    let mut begin: Vec<char> = head.chars().rev().take_while(|c| *c != '\n').take(before + 1).collect();
    begin.reverse();
    let end: Vec<char> = tail.chars().take_while(|c| *c != '\n').take(from + 1).collect();
    let (first, last) = (begin.len().saturating_sub(before), end.len().min(from));
    let quote: String = begin[first..].iter().chain(&end[..last]).collect();
    let cut = |is_cut: bool| if is_cut { "…" } else { "" };
    format!("{}{}{}", cut(first > 0), quote.trim(), cut(last < end.len()))
}

/// The candidate most similar to a mistyped word, if any is similar enough.
pub(super) fn nearest<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    const LIKE: f64 = 0.6;
    candidates
        .into_iter()
        .map(|candidate| (strsim::normalized_damerau_levenshtein(word, candidate), candidate))
        .filter(|(likeness, _)| *likeness >= LIKE)
        .reduce(|best, next| if next.0 > best.0 { next } else { best })
        .map(|(_, candidate)| candidate)
}
