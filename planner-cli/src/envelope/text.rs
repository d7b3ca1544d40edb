//! The answers for people, and as JSON.

use super::point::{Answer, Point};
use super::question::Question;
use super::{Answered, word};
use crate::cautions;
use crate::tables::{self, Column};
use crate::wording::{count, fixed, trimmed};
use serde::Serialize;
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
        (None, Some(_)) => "closed".into(),
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

/// An answer as JSON.
#[derive(Serialize)]
struct Entry<'a> {
    question: Question,
    modules: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    can: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    can_why: &'a Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cannot: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    cannot_why: &'a Option<String>,
    closed: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    closed_form: Option<f64>,
    unit: &'static str,
}

/// All answers.
#[derive(Serialize)]
pub(super) struct Entries<'a> {
    format: &'static str,
    kind: &'a str,
    answers: Vec<Entry<'a>>,
}

pub(super) fn entries<'a>(name: &'a str, answers: &'a [Answered]) -> Entries<'a> {
    let entry = |answered: &'a Answered| {
        let Answered { question, modules, range, bracket, closed_form, why: [can_why, cannot_why] } =
            answered;
        Entry {
            question: *question,
            modules: *modules,
            can: bracket.can,
            can_why,
            cannot: bracket.cannot,
            cannot_why,
            closed: bracket.is_closed(*range, *question),
            closed_form: *closed_form,
            unit: question.unit(),
        }
    };
    Entries { format: "clamber-envelope-answer/1", kind: name, answers: answers.iter().map(entry).collect() }
}

/// A share of a number's digits that is worth reading.
pub(super) fn seconds(value: f64) -> String {
    format!("{} s", fixed(value, 0))
}
