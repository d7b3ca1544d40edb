//! The figures over time, span by span.

use super::body_number::number_of;
use clamber_core::unstable::course::{Course, Moment};
use clamber_core::unstable::statics::DriveReport;
use clamber_core::{Body, BondReport, FailureMode, Problem};
use serde::Serialize;

/// Stands for a need that no adhesion meets, in newtons or newton metres: JSON has no infinity.
const BEYOND_N: f64 = 1e9;

/// One span; lists of figures have one entry for each instant in `at`, and one for each module in these.
#[derive(Serialize)]
pub(super) struct SpanEntry {
    pub(super) from: f64,
    pub(super) to: f64,
    pub(super) steps: Vec<usize>,
    /// Modules that stand together.
    clusters: Vec<Vec<usize>>,
    /// Modules whose shells touch decks that count as support, and the deck.
    pub(super) supports: Vec<(usize, usize)>,
    pub(super) at: Vec<f64>,
    /// Utilisation; none where nothing adheres.
    pub(super) used: Vec<Vec<Option<f64>>>,
    /// The adhesion in newtons that would just do; negative when weight alone does.
    needs: Vec<Vec<Option<f64>>>,
    /// What each stands on in the worst case: differs from where it stands during a hop, and is none while its foot is in the air in a stride.
    pub(super) hosts: Vec<Vec<Option<usize>>>,
    /// Whether peeling is nearer its limit than slipping.
    peels: Vec<Vec<Option<bool>>>,
    /// Of each mover that slides or yaws: its number, what its drive must do and can do, in N or N·m, and whether it turns.
    drives: Vec<Vec<(usize, f64, f64, bool)>>,
    /// Whether forces balance at all.
    balanced: Vec<bool>,
    /// The smallest free gap: between which bodies, how wide.
    pub(super) gap: Vec<Option<(usize, usize, f64)>>,
}

pub(super) fn entries(course: &Course<'_>) -> Vec<SpanEntry> {
    let problem = course.problem;
    let entry = |(span, moments): (&clamber_core::unstable::course::Span, Vec<Moment>)| {
        let rows: Vec<Vec<Option<&BondReport>>> =
            moments.iter().map(|moment| by_module(problem, moment)).collect();
        SpanEntry {
            from: span.from_s,
            to: span.to_s,
            steps: span.steps.clone(),
            clusters: span
                .clusters(problem, course.plan)
                .into_iter()
                .map(|cluster| cluster.into_iter().map(clamber_core::ModuleId::index).collect())
                .collect(),
            supports: span
                .supports(problem, course.plan)
                .into_iter()
                .map(|(module, ground)| (module.index(), number_of(problem, Body::Ground(ground))))
                .collect(),
            at: moments.iter().map(|moment| moment.at_s).collect(),
            used: each(&rows, |bond| bond.utilisation.filter(|used| used.is_finite()).map(round4)),
            needs: each(&rows, |bond| {
                Some(if bond.needs_n.is_finite() { round4(bond.needs_n) } else { BEYOND_N })
            }),
            hosts: each(&rows, |bond| Some(number_of(problem, bond.host))),
            peels: each(&rows, |bond| Some(bond.governs == FailureMode::Peel)),
            drives: moments.iter().map(drives).collect(),
            balanced: moments.iter().map(|moment| moment.utilisation.is_some()).collect(),
            gap: moments.iter().map(|moment| gap(course, moment)).collect(),
        }
    };
    course.spans.iter().zip(course.moments()).map(entry).collect()
}

/// The bond of each module; none where its foot is in the air.
fn by_module<'a>(problem: &Problem, moment: &'a Moment) -> Vec<Option<&'a BondReport>> {
    let mut row = vec![None; problem.modules.len()];
    for bond in &moment.bonds {
        row[bond.child.index()] = Some(bond);
    }
    row
}

/// A figure of every bond at every instant.
fn each<T>(rows: &[Vec<Option<&BondReport>>], of: impl Fn(&BondReport) -> Option<T>) -> Vec<Vec<Option<T>>> {
    rows.iter().map(|row| row.iter().map(|bond| bond.and_then(&of)).collect()).collect()
}

fn drives(moment: &Moment) -> Vec<(usize, f64, f64, bool)> {
    let entry = |drive: &DriveReport| {
        let needs = if drive.needs.is_finite() { drive.needs } else { BEYOND_N };
        (drive.child.index(), round4(needs), drive.limit, drive.governs == FailureMode::Turn)
    };
    moment.drives.iter().map(entry).collect()
}

fn gap(course: &Course<'_>, moment: &Moment) -> Option<(usize, usize, f64)> {
    let gap = moment.gap?;
    let number = |body| number_of(course.problem, body);
    Some((number(Body::Module(gap.module)), number(gap.other), (gap.gap_m * 1e7).round() / 1e7))
}

/// Four digits after the point are enough to read.
fn round4(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}
