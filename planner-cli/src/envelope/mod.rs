//! `clamber envelope`: what crews of one kind can do, between bounds that each have a witness.

mod args;
mod bracket;
mod page;
mod point;
mod probe;
mod question;
mod scene;
mod text;

pub(crate) use self::args::EnvelopeArgs;
pub(crate) use self::text::schema;

use self::bracket::{Bracket, bracket};
use self::point::{Answer, POINT_FORMAT, Point};
use self::probe::Probe;
use self::question::{Question, Range, Sizes};
use crate::failure::Failure;
use crate::lines_file::LinesFile;
use crate::solving::cancel_flag;
use crate::sort::Sort;
use crate::wording::{count, trimmed};
use crate::{exit_code, files, kinds_file, output};
use clamber_core::unstable::scene::KindEntry;
use clamber_core::{Body, Hold, ModuleId, read_scenario};
use clap::ValueEnum;
use sha2::{Digest, Sha256};
use std::path::Path;
use std::sync::atomic::Ordering;
use std::time::Instant;

/// The answer to one question for one size of crew.
#[derive(Clone)]
pub(super) struct Answered {
    question: Question,
    modules: usize,
    /// The size of the crew whose witness shows what can be done: a larger crew can leave modules standing.
    shown_by: usize,
    range: Range,
    bracket: Bracket,
    closed_form: Option<f64>,
    /// Why the number that can be done can, and why the other cannot.
    why: [Option<String>; 2],
}

pub(crate) fn run(args: &EnvelopeArgs) -> Result<u8, Failure> {
    let (name, kind) = kind_of(args)?;
    files::make_folder(&args.output)?;
    let page = args.output.join("page.html");
    files::probe(&page, Sort::Page)?;
    let sizes = sizes_of(&kind)?;
    let of = identity(&kind, args)?;
    let cancelled = cancel_flag()?;
    let probe = Probe { kind: &kind, sizes: &sizes, time_s: args.time, cancelled: &cancelled };
    let (mut lines, earlier) = LinesFile::<Point>::open(&args.output.join("points.jsonl"))?;
    let mut points: Vec<Point> = earlier.rows.into_iter().filter(|point| point.of == of).collect();
    let asked = if args.of.is_empty() { Question::value_variants() } else { &args.of };
    let crews = |question: Question| if question.is_of_one() { 1..=1 } else { args.modules.clone() };
    let all = asked.iter().flat_map(|q| crews(*q).map(move |modules| (*q, modules)));
    let mut answers = Vec::new();
    for (question, modules) in args.shard.of(all.collect()) {
        let Some(range) = question.range(&sizes, modules) else { continue };
        let bracket = bracket(question, range, |number| {
            if let Some(answer) = known(&points, question, modules, number) {
                return Ok(answer);
            }
            let begin = Instant::now();
            let probed = probe.ask(question, modules, number)?;
            if cancelled.load(Ordering::Relaxed) {
                return Err(Failure::not_sound(
                    "interrupted: give the same command again to go on where it was",
                ));
            }
            let stem = stem(question, modules, number);
            files::write(&args.output.join(format!("{stem}.json")), Sort::Envelope, &probed.scene)?;
            if let Some(plan) = &probed.plan {
                files::write(&args.output.join(format!("{stem}.plan.json")), Sort::Plan, plan)?;
            }
            let point = Point {
                format: POINT_FORMAT.into(),
                of: of.clone(),
                question,
                modules,
                number,
                answer: probed.answer,
                why: probed.why,
                wall_s: begin.elapsed().as_secs_f64(),
            };
            lines.append(&point)?;
            if !args.json {
                output::complain(&text::line(&point));
            }
            points.push(point);
            Ok::<_, Failure>(probed.answer)
        })?;
        answers.push(answered(&points, &sizes, (question, modules), range, bracket));
    }
    let others = earlier_answers(&points, &sizes, &answers);
    let mut all = [&answers[..], &others].concat();
    leave_modules_standing(&mut all);
    files::write(&page, Sort::Page, page::html(&name, &all, args))?;
    let answers = &all[..answers.len()];
    output::print(&if args.json {
        output::json_line(&text::entries(&name, answers))?
    } else {
        text::text(&name, answers, &page)
    })?;
    Ok(exit_code::DONE)
}

/// The answer for a number that was tried before.
fn known(points: &[Point], question: Question, modules: usize, number: f64) -> Option<Answer> {
    let is_it = |p: &&Point| (p.question, p.modules, p.number) == (question, modules, number);
    points.iter().find(is_it).map(|point| point.answer)
}

fn answered(
    points: &[Point],
    sizes: &Sizes,
    (question, modules): (Question, usize),
    range: Range,
    bracket: Bracket,
) -> Answered {
    let why = [bracket.can, bracket.cannot].map(|number| {
        let of_it = |p: &&Point| Some(p.number) == number && (p.question, p.modules) == (question, modules);
        points.iter().find(of_it).map(|point| point.why.clone())
    });
    let closed_form = question.closed_form(sizes, modules);
    Answered { question, modules, shown_by: modules, range, bracket, closed_form, why }
}

/// Where a smaller crew was seen to do more, a larger one can leave the others where they stand.
fn leave_modules_standing(answers: &mut [Answered]) {
    let known = answers.to_vec();
    for answer in answers.iter_mut().filter(|answer| answer.question.lets_others_stand()) {
        let is_smaller = |a: &&Answered| a.question == answer.question && a.modules < answer.modules;
        let can = |a: &Answered| a.bracket.can.unwrap_or(f64::NEG_INFINITY);
        let best = known.iter().filter(is_smaller).max_by(|a, b| can(a).total_cmp(&can(b)));
        if let Some(best) = best.filter(|best| best.bracket.can > answer.bracket.can) {
            answer.bracket.can = best.bracket.can;
            answer.shown_by = best.shown_by;
            answer.why[0] = best.why[0].as_ref().map(|why| {
                format!("{why}, of {}; the others stay where they are", count(best.shown_by, "module"))
            });
        }
    }
}

/// The answers of earlier runs that were not asked for now, as far as all their points are there.
fn earlier_answers(points: &[Point], sizes: &Sizes, now: &[Answered]) -> Vec<Answered> {
    let asked: Vec<(Question, usize)> = now.iter().map(|a| (a.question, a.modules)).collect();
    let mut found: Vec<Answered> = Vec::new();
    for point in points {
        let (question, modules) = (point.question, point.modules);
        let is_known = found.iter().any(|a| (a.question, a.modules) == (question, modules));
        let Some(range) = question.range(sizes, modules) else { continue };
        if is_known || asked.contains(&(question, modules)) {
            continue;
        }
        let tried = |number: f64| known(points, question, modules, number).ok_or(());
        if let Ok(bracket) = bracket(question, range, tried) {
            found.push(answered(points, sizes, (question, modules), range, bracket));
        }
    }
    found
}

/// What the files of a number are called.
fn stem(question: Question, modules: usize, number: f64) -> String {
    format!("{}-{modules}-{}", word(question), trimmed(number, 6))
}

/// Whether a name is that of a scene of an envelope.
pub(crate) fn is_scene(name: &str) -> bool {
    name.starts_with(scene::NAMED)
}

fn word(question: Question) -> String {
    question.to_possible_value().map(|value| value.get_name().to_owned()).unwrap_or_default()
}

/// The kind that is asked about: the one that was named, or the only one.
fn kind_of(args: &EnvelopeArgs) -> Result<(String, KindEntry), Failure> {
    if let Some(name) = &args.name {
        return Ok((name.clone(), kinds_file::one(&args.kind, name, ["", "name one of these with --name"])?));
    }
    let kinds = kinds_file::read(&args.kind)?;
    match kinds.len() {
        1 => kinds.into_iter().next().ok_or_else(|| no_kind(&args.kind, "")),
        _ => Err(no_kind(&args.kind, &kinds.keys().cloned().collect::<Vec<_>>().join(", "))),
    }
}

fn no_kind(path: &Path, known: &str) -> Failure {
    let file = files::name(path);
    Failure::unreadable(if known.is_empty() {
        format!("error: {file} has no kind; give a file of kinds or a scene that has one")
    } else {
        format!("error: {file} has several kinds: {known}; name one of these with --name")
    })
}

/// Sizes and forces of a kind; what a braced bond holds is that of a module on another.
fn sizes_of(kind: &KindEntry) -> Result<Sizes, Failure> {
    let pair = scene::scene(Question::LevelArm, kind, &Sizes::of(kind, 1.0), 2, 1.0);
    let text = output::json(&pair)?;
    let (_, problem) = read_scenario("pair.json", &text)
        .map_err(|found| Failure::unreadable(format!("error: this kind is not sound by itself:\n{found}")))?;
    let braced_n = problem.adhesion_n(ModuleId(1), Body::Module(ModuleId(0)), Hold::Braced);
    Ok(Sizes::of(kind, braced_n))
}

/// What points depend on besides their question and number.
fn identity(kind: &KindEntry, args: &EnvelopeArgs) -> Result<String, Failure> {
    let text = format!("{}{}{}", output::json(kind)?, args.time, env!("CARGO_PKG_VERSION"));
    Ok(Sha256::digest(text.as_bytes()).iter().take(8).map(|byte| format!("{byte:02x}")).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answered(question: Question, modules: usize, can: Option<f64>) -> Answered {
        let range = Range { easy: 0.0, hard: 1.0, to: 0.001 };
        let bracket = Bracket { can, ..Bracket::default() };
        let why = [can.map(|can| format!("{can}")), None];
        Answered { question, modules, shown_by: modules, range, bracket, closed_form: None, why }
    }

    #[test]
    fn what_a_smaller_crew_does_a_larger_one_can() {
        let mut answers = vec![
            answered(Question::Gap, 6, None),
            answered(Question::Gap, 4, Some(0.25)),
            answered(Question::Gap, 5, Some(0.2)),
            answered(Question::Wall, 6, Some(0.1)),
            answered(Question::Payload, 3, Some(0.5)),
            answered(Question::Payload, 4, Some(0.1)),
        ];
        leave_modules_standing(&mut answers);
        let shown: Vec<_> = answers.iter().map(|a| (a.bracket.can, a.shown_by)).collect();
        assert_eq!(
            shown,
            [
                (Some(0.25), 4),
                (Some(0.25), 4),
                (Some(0.25), 4),
                (Some(0.1), 6),
                (Some(0.5), 3),
                (Some(0.1), 4)
            ]
        );
        assert_eq!(answers[0].why[0].as_deref(), Some("0.25, of 4 modules; the others stay where they are"));
    }
}
