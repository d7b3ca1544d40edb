//! The steps: for the viewer, and as a table that needs no script.

use super::body_number::number_of;
use super::spans::SpanEntry;
use crate::wording;
use clamber_core::unstable::course::Course;
use clamber_core::{Body, Move, Step};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct StepEntry {
    pub(super) module: usize,
    #[serde(rename = "move")]
    pub(super) action: &'static str,
    /// `slides 12.3 cm on m1`.
    pub(super) phrase: String,
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) after: Vec<usize>,
    /// Worst utilisation over the step, and the module and the host of the bond.
    pub(super) worst: Option<(f64, usize, usize)>,
    /// Smallest free gap over the step: between which bodies, how wide.
    pub(super) gap: Option<(usize, usize, f64)>,
    /// Why it could not be begun.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) refused: Option<String>,
}

pub(super) fn entries(course: &Course<'_>, spans: &[SpanEntry]) -> Vec<StepEntry> {
    course.plan.steps.iter().enumerate().map(|(index, step)| entry(course, spans, index, step)).collect()
}

fn entry(course: &Course<'_>, spans: &[SpanEntry], index: usize, step: &Step) -> StepEntry {
    let mine = || spans.iter().filter(|span| span.steps.contains(&index));
    let mut worst: Option<(f64, usize, usize)> = None;
    for span in mine() {
        for (used, hosts) in span.used.iter().zip(&span.hosts) {
            for (module, (used, host)) in used.iter().zip(hosts).enumerate() {
                let Some((used, host)) = used.zip(*host) else { continue };
                if worst.is_none_or(|(known, ..)| used > known) {
                    worst = Some((used, module, host));
                }
            }
        }
    }
    let gaps = course.spans.iter().filter_map(|span| span.smallest_gap(course.problem, course.plan, index));
    let gap = gaps.reduce(|a, b| if b.gap_m < a.gap_m { b } else { a });
    let number = |body| number_of(course.problem, body);
    let refused = course.left_out.iter().find(|(left_out, _)| *left_out == index);
    StepEntry {
        module: step.module.index(),
        action: step.action.word(),
        phrase: phrase(course, index, step),
        from: step.start_s,
        to: step.end_s(),
        after: step.after.clone(),
        worst,
        gap: gap.map(|gap| (number(Body::Module(gap.module)), number(gap.other), gap.gap_m)),
        refused: refused.map(|(_, error)| error.to_string()),
    }
}

/// What the module does, in the third person.
fn phrase(course: &Course<'_>, index: usize, step: &Step) -> String {
    let problem = course.problem;
    let host = course
        .spans
        .iter()
        .find(|span| span.steps.contains(&index))
        .map_or(step.end.host, |span| span.begin.get(step.module).host);
    let on = problem.name_of(host);
    let words = wording::of_move(problem, &step.action);
    match step.action {
        Move::Slide { .. } => format!("{} on {on}", words.replacen("slide", "slides", 1)),
        Move::Yaw { .. } => format!("{} on {on}", words.replacen("yaw", "yaws", 1)),
        Move::Hop { to } => {
            format!("hops from {on} to {}", problem.name_of(to))
        }
        Move::Cross { to, .. } => {
            format!("crosses from {on} to {}", problem.name_of(Body::Ground(to)))
        }
        Move::Stride { to, ref planted, .. } => {
            let begin = course.spans.iter().find(|span| span.steps.contains(&index));
            let way = begin.map_or(0.0, |span| {
                span.begin.get(step.module).position.truncate().distance(step.end.position.truncate())
            });
            let ends: Vec<&str> =
                planted.ids().iter().map(|id| problem.modules[id.index()].name.as_str()).collect();
            format!(
                "strides {} from {on} to {}: its foot is in the air, and the machine rolls on the shells of {}",
                wording::length(way),
                problem.name_of(Body::Ground(to)),
                wording::list(&ends)
            )
        }
        Move::Brace => format!("braces on {on}"),
        Move::Release => format!("releases its cup on {on}"),
    }
}
