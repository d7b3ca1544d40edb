//! The text of a suite: its fields, where each of them stands, and what is wrong with them.

use super::suite::SuiteFile;
use crate::diagnostics;
use crate::failure::Failure;
use clamber_core::Diagnostic;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The text of a suite and the problems found in it.
pub(crate) struct SuiteText<'a> {
    file: &'a str,
    text: &'a str,
    problems: Vec<Diagnostic>,
}

impl<'a> SuiteText<'a> {
    pub(crate) fn new(file: &'a str, text: &'a str) -> Self {
        Self { file, text, problems: Vec::new() }
    }

    /// Its fields, if they are those of a suite.
    pub(crate) fn parse(&mut self) -> Option<SuiteFile> {
        match toml::from_str(self.text) {
            Ok(file) => Some(file),
            Err(error) => {
                let found = error.message().trim_end().replace('\n', "; ");
                let allowed = "TOML with the fields of `clamber schema suite` is allowed".into();
                self.add(
                    error.span().unwrap_or(0..0),
                    "file".into(),
                    found,
                    allowed,
                    "mend the text here; docs/bench.md has an example",
                );
                None
            }
        }
    }

    pub(crate) fn is_clean(&self) -> bool {
        self.problems.is_empty()
    }

    /// Refuses a number out of range.
    pub(crate) fn range(&mut self, path: &[&str], value: f64, least: f64, most: f64) {
        if !(least..=most).contains(&value) {
            self.refuse(
                path,
                format!("{value} was found"),
                format!("{least} to {most} is allowed"),
                "mend the number",
            );
        }
    }

    /// Refuses the value at a path of keys and numbers of items.
    pub(crate) fn refuse(&mut self, path: &[&str], found: String, allowed: String, help: &str) {
        let span = self.span(path);
        let field = path.iter().fold(String::new(), |field, key| match key.parse::<usize>() {
            Ok(index) => format!("{field}[{index}]"),
            Err(_) if field.is_empty() => (*key).to_owned(),
            Err(_) => format!("{field}.{key}"),
        });
        self.add(span, field, found, allowed, help);
    }

    /// All problems, each with its line.
    pub(crate) fn failure(mut self) -> Failure {
        self.problems.sort_by_key(|problem| problem.span.start);
        diagnostics::failure(&self.problems, self.file)
    }

    fn add(&mut self, span: Range<usize>, field: String, found: String, allowed: String, help: &str) {
        self.problems.push(Diagnostic::new(self.file, self.text, span, [field, found, allowed, help.into()]));
    }

    /// Where the value at a path stands, or what it would stand in.
    fn span(&self, path: &[&str]) -> Range<usize> {
        let Ok(root) = DeTable::parse(self.text) else { return 0..0 };
        let mut span = 0..0;
        let mut here: Option<&Spanned<DeValue<'_>>> = None;
        for key in path {
            let next = match here.map(Spanned::get_ref) {
                None => root.get_ref().get(*key),
                Some(DeValue::Table(table)) => table.get(*key),
                Some(DeValue::Array(items)) => key.parse().ok().and_then(|index: usize| items.get(index)),
                Some(_) => None,
            };
            let Some(next) = next else { break };
            span = next.span();
            here = Some(next);
        }
        span
    }
}
