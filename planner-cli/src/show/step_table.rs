//! The steps: for the viewer, and as a table that needs no script.

use super::body_number::number_of;
use super::spans::{SpanEntry, TIME_S, Worst, levels_between};
use crate::wording;
use clamber_core::unstable::course::{Course, GapAt, StepGaps};
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
    /// Worst utilisation over the step in all of the crew.
    pub(super) worst: Option<Worst>,
    /// Smallest free gap over the step: between which bodies, how wide.
    pub(super) gap: Option<(usize, usize, f64)>,
    /// The same at instants of the step, each after its instant.
    pub(super) gaps: Vec<(f64, usize, usize, f64)>,
    /// Why it could not be begun.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) refused: Option<String>,
}

pub(super) fn entries(course: &Course<'_>, spans: &[SpanEntry]) -> Vec<StepEntry> {
    let gaps = course.gaps();
    let mut worst: Vec<Option<Worst>> = vec![None; course.plan.steps.len()];
    let levels: Vec<[bool; 3]> =
        course.plan.steps.iter().map(|step| levels_between(course, step.start_s, step.end_s())).collect();
    let mut order: Vec<usize> = (0..worst.len()).collect();
    order.sort_by(|&a, &b| course.plan.steps[a].start_s.total_cmp(&course.plan.steps[b].start_s));
    let longest_s = course.plan.steps.iter().map(|step| step.duration_s).fold(0.0, f64::max);
    for span in spans {
        // Steps that begin earlier have ended.
        let start_s = |&index: &usize| course.plan.steps[index].start_s;
        let first = order.partition_point(|index| start_s(index) <= span.from - longest_s - TIME_S);
        let beside = order[first..].iter().take_while(|index| start_s(index) < span.to - TIME_S);
        for &index in beside {
            let step = &course.plan.steps[index];
            if step.end_s() > span.from + TIME_S {
                let here = span.worst_between(step.start_s, step.end_s(), levels[index]);
                worst[index] = worst[index].into_iter().chain(here).reduce(Worst::or_worse);
            }
        }
    }
    let steps = course.plan.steps.iter().enumerate().zip(&gaps).zip(worst);
    steps.map(|(((index, step), gaps), worst)| entry(course, index, step, gaps, worst)).collect()
}

fn entry(course: &Course<'_>, index: usize, step: &Step, gaps: &StepGaps, worst: Option<Worst>) -> StepEntry {
    let number = |body| number_of(course.problem, body);
    let sample = |gap: &GapAt| {
        (gap.at_s, number(Body::Module(gap.module)), number(gap.other), (gap.gap_m * 1e7).round() / 1e7)
    };
    let refused = course.left_out.iter().find(|(left_out, _)| *left_out == index);
    StepEntry {
        module: step.module.index(),
        action: step.action.word(),
        phrase: phrase(course, step),
        from: step.start_s,
        to: step.end_s(),
        after: step.after.clone(),
        worst,
        gap: gaps.least.map(|gap| (number(Body::Module(gap.module)), number(gap.other), gap.gap_m)),
        gaps: gaps.samples.iter().map(sample).collect(),
        refused: refused.map(|(_, error)| error.to_string()),
    }
}

/// What the module does, in the third person.
fn phrase(course: &Course<'_>, step: &Step) -> String {
    let problem = course.problem;
    let host = course.stand(step.module, step.start_s).map_or(step.end.host, |stand| stand.host);
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
            let (begin, _) = course.pose(step.module, step.start_s);
            let way = begin.truncate().distance(step.end.position.truncate());
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
