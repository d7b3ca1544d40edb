//! The answers for people, and as JSON.

use super::point::{Answer, Point};
use super::question::Question;
use super::{Answered, word};
use crate::cautions;
use crate::tables::{self, Column};
use crate::wording::{count, trimmed};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;
use std::path::Path;

/// A point as soon as it is known: `wall of 4, 0.18 m: can (a checked plan of 30 moves, 60.1 s)`.
pub(super) fn line(point: &Point) -> String {
    let answer = match point.answer {
        Answer::Can => "can",
        Answer::Cannot => "cannot",
        Answer::Unknown => "open",
    };
    let number = number(point.question, point.number);
    format!("{} of {}, {number}: {answer} ({})", word(point.question), point.modules, point.why)
}

/// A number with its unit.
pub(super) fn number(question: Question, value: f64) -> String {
    if question.counts() {
        return count(value as usize, "module");
    }
    let digits = 4;
    let unit = question.unit();
    let space = if unit == "°" { "" } else { " " };
    format!("{}{space}{unit}", trimmed(value, digits))
}

pub(super) fn can(answered: &Answered) -> String {
    answered.bracket.can.map_or_else(|| "none".into(), |value| number(answered.question, value))
}

pub(super) fn cannot(answered: &Answered) -> String {
    match answered.bracket.cannot {
        Some(value) => number(answered.question, value),
        None if answered.bracket.is_all => "no more is asked".into(),
        None => "nothing proved".into(),
    }
}

/// `closed`, or how far the bounds are apart.
pub(super) fn gap(answered: &Answered) -> String {
    let bracket = &answered.bracket;
    if bracket.is_closed(answered.range, answered.question) {
        return "closed".into();
    }
    match (bracket.can, bracket.cannot) {
        (Some(can), Some(cannot)) => format!("open: {}", number(answered.question, (cannot - can).abs())),
        _ => "open".into(),
    }
}

pub(super) fn closed_form(answered: &Answered) -> String {
    answered.closed_form.map_or_else(|| "-".into(), |value| number(answered.question, value))
}

pub(super) fn text(name: &str, answers: &[Answered], page: &Path) -> String {
    let columns = [
        Column::Words("question"),
        Column::Number("modules"),
        Column::Number("can"),
        Column::Number("cannot"),
        Column::Words("between"),
        Column::Number("closed form"),
    ];
    let rows = answers.iter().map(|answered| {
        vec![
            answered.question.heading().to_owned(),
            answered.modules.to_string(),
            can(answered),
            cannot(answered),
            gap(answered),
            closed_form(answered),
        ]
    });
    format!(
        "{name}\n\n{}\neach bound has its witness beside {}, which explains the closed forms\n{}\n",
        tables::draw(&columns, rows),
        page.display(),
        cautions::SHORT
    )
}

/// The answer to one question for one size of crew.
#[derive(Serialize, JsonSchema)]
struct Entry {
    question: Question,
    /// The size of the crew; 1 for questions about one module.
    modules: usize,
    /// The hardest number that can be done; absent if none was found.
    #[serde(skip_serializing_if = "Option::is_none")]
    can: Option<f64>,
    /// Its witness, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    can_why: Option<String>,
    /// The least hard number that is proved impossible; absent if none is.
    #[serde(skip_serializing_if = "Option::is_none")]
    cannot: Option<f64>,
    /// Its proof, in words.
    #[serde(skip_serializing_if = "Option::is_none")]
    cannot_why: Option<String>,
    /// Whether the two are within 5 % of each other, or there is no more to find out.
    closed: bool,
    /// What the closed form gives; absent where it gives nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    closed_form: Option<f64>,
    /// The unit of all these numbers.
    unit: &'static str,
}

/// What crews of one kind can do.
#[derive(Serialize, JsonSchema)]
pub(super) struct Entries {
    format: &'static str,
    /// The name of the kind.
    kind: String,
    answers: Vec<Entry>,
}

/// JSON Schema (2020-12) of the answer.
pub(crate) fn schema() -> Value {
    crate::schema::schema_of::<Entries>("The answer of clamber envelope")
}

pub(super) fn entries(name: &str, answers: &[Answered]) -> Entries {
    let entry = |answered: &Answered| {
        let Answered { question, modules, range, bracket, closed_form, why: [can_why, cannot_why], .. } =
            answered;
        Entry {
            question: *question,
            modules: *modules,
            can: bracket.can,
            can_why: can_why.clone(),
            cannot: bracket.cannot,
            cannot_why: cannot_why.clone(),
            closed: bracket.is_closed(*range, *question),
            closed_form: *closed_form,
            unit: question.unit(),
        }
    };
    Entries {
        format: "clamber-envelope-answer/1",
        kind: name.into(),
        answers: answers.iter().map(entry).collect(),
    }
}
