//! The answers as one page: a table and a plot for each question.

use super::question::Question;
use super::{Answered, EnvelopeArgs, stem, text};
use crate::bench::report::block::{Block, Table};
use crate::bench::report::html;
use crate::bench::report::page::{Page, Section};
use crate::bench::report::plane::{Axis, Plane};
use crate::cautions;
use crate::wording::{count, trimmed};

/// Styles of marks and lines: what can be done, what cannot, the closed form.
const CAN: usize = 0;
const CANNOT: usize = 1;
const CLOSED_FORM: usize = 2;

pub(super) fn html(name: &str, answers: &[Answered], args: &EnvelopeArgs) -> String {
    let mut sections =
        vec![Section { heading: "How to read this", blocks: vec![Block::List(explained(args))] }];
    let mut questions: Vec<Question> = Vec::new();
    for answered in answers {
        if !questions.contains(&answered.question) {
            questions.push(answered.question);
        }
    }
    sections.extend(questions.into_iter().map(|question| {
        let own: Vec<&Answered> = answers.iter().filter(|answered| answered.question == question).collect();
        section(question, &own)
    }));
    let title = format!("What crews of {name} can do");
    html::write(&Page { title, sections, foot: cautions::SHORT.into() })
}

fn explained(args: &EnvelopeArgs) -> Vec<String> {
    vec![
        "Can: a shape that stands by exact loads, or a plan that has passed the check. Scene and plan are beside this page; the lists name the files.".into(),
        "Cannot: a bond of the shape is over its limit, or a certificate that no plan exists, verified by a second method.".into(),
        format!(
            "Between them nothing is known. Ways were looked for over {} s each; more time may find more.",
            trimmed(args.time, 1)
        ),
        "Walls and gaps are not monotone: a plan for one height is no plan for a lower one. Points are points; nothing is interpolated.".into(),
        "Proofs about walls and gaps do not cover crews of five or more that first form a machine and then stride.".into(),
        "Site: the defaults of a scene (hold factor 1.5, sway 3°, sea level). Walls, gaps and plinths are of steel; floors are bare.".into(),
    ]
}

fn section(question: Question, answers: &[&Answered]) -> Section {
    let rows = answers.iter().map(|answered| {
        let cells =
            [text::can(answered), text::cannot(answered), text::gap(answered), text::closed_form(answered)];
        std::iter::once(answered.modules.to_string()).chain(cells).collect()
    });
    let table = Table::new(&[], &["modules", "can", "cannot", "between", "closed form"], rows.collect());
    let witnesses = answers.iter().flat_map(|answered| {
        let bracket = &answered.bracket;
        let told = [(bracket.can, "can"), (bracket.cannot, "cannot")].into_iter().zip(&answered.why);
        told.filter_map(move |((value, word), why)| {
            let plan = if word == "can" && !question.is_shape() { "plan.json" } else { "json" };
            let of = if word == "can" { answered.shown_by } else { answered.modules };
            let file = format!("{}.{plan}", stem(question, of, value?));
            let value = text::number(question, value?);
            Some(format!(
                "{}: {word} {value}: {} ({file})",
                count(answered.modules, "module"),
                why.as_deref()?
            ))
        })
    });
    let closed = format!("Closed form: {}.", question.closed_form_is());
    let names = ["can", "cannot", "closed form"].map(str::to_owned).into();
    let blocks = vec![
        Block::Table(table),
        Block::Plots { plots: vec![plot(question, answers)], names },
        Block::Text(closed),
        Block::List(witnesses.collect()),
    ];
    Section { heading: question.heading(), blocks }
}

fn plot(question: Question, answers: &[&Answered]) -> crate::bench::report::plot_frame::Plot {
    let numbers = |of: fn(&Answered) -> Option<f64>| -> Vec<(f64, f64)> {
        answers.iter().filter_map(|a| Some((a.modules as f64, of(a)?))).collect()
    };
    let can = numbers(|answered| answered.bracket.can);
    let cannot = numbers(|answered| answered.bracket.cannot);
    let closed = numbers(|answered| answered.closed_form);
    let most = [&can, &cannot, &closed].into_iter().flatten().map(|point| point.1).fold(0.0, f64::max);
    let crews = answers.iter().map(|answered| answered.modules as f64);
    let (from, to) = (crews.clone().fold(f64::INFINITY, f64::min), crews.clone().fold(0.0, f64::max));
    let ticks = crews.map(|modules| (modules, modules.to_string())).collect();
    let x = Axis::with_ticks(from - 0.5, to + 0.5, "modules", ticks);
    let y = Axis::from_zero(if most > 0.0 { most } else { 1.0 }, question.measured_in());
    let mut plane = Plane::new(x, y, question.heading().into());
    plane.line(&closed, CLOSED_FORM);
    closed.iter().for_each(|&point| plane.mark(point, CLOSED_FORM));
    cannot.iter().for_each(|&point| plane.mark(point, CANNOT));
    can.iter().for_each(|&point| plane.mark(point, CAN));
    plane.finish()
}
