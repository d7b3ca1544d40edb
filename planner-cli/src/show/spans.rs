//! The loads over time, structure by structure.

use super::body_number::number_of;
use clamber_core::unstable::course::{Course, Gravity, Moment, Span};
use clamber_core::unstable::statics::DriveReport;
use clamber_core::{Body, BondReport, FailureMode};
use serde::Serialize;

/// Stands for a need that no adhesion meets, in newtons or newton metres: JSON has no infinity.
const BEYOND_N: f64 = 1e9;
/// Events nearer than this are one, in seconds.
pub(super) const TIME_S: f64 = 1e-9;

/// A structure from one of its events to the next. Lists of figures have one entry for each of its moments, and one for each member in these.
#[derive(Serialize)]
pub(super) struct SpanEntry {
    pub(super) from: f64,
    pub(super) to: f64,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) steps: Vec<usize>,
    /// The modules that stand together.
    pub(super) members: Vec<usize>,
    /// Modules whose shells touch decks that count as support, and the deck.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) supports: Vec<(usize, usize)>,
    /// The instants of the moments where something moves; where nothing does there is one moment for each way in which gravity counts.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) at: Vec<f64>,
    /// The way for each moment where nothing moves.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) gravity: Vec<u8>,
    /// Of a large structure a bound on every utilisation in it, and no other figures; none where no forces balance.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) at_most: Vec<Option<f64>>,
    /// Utilisation; none where nothing adheres.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) used: Vec<Vec<Option<f64>>>,
    /// The adhesion in newtons that would just do; negative when weight alone does.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    needs: Vec<Vec<Option<f64>>>,
    /// What each stands on in the worst case: differs from where it stands during a hop, and is none while its foot is in the air in a stride.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(super) hosts: Vec<Vec<Option<usize>>>,
    /// Whether peeling is nearer its limit than slipping.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    peels: Vec<Vec<Option<bool>>>,
    /// Of each mover that slides or yaws: its number, what its drive must do and can do, in N or N·m, and whether it turns.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    drives: Vec<Vec<(usize, f64, f64, bool)>>,
    /// Whether forces balance at all.
    balanced: Vec<bool>,
}

pub(super) fn entries(course: &Course<'_>) -> Vec<SpanEntry> {
    course.spans.iter().zip(course.moments()).map(|(span, moments)| entry(course, span, &moments)).collect()
}

fn entry(course: &Course<'_>, span: &Span, moments: &[Moment]) -> SpanEntry {
    let problem = course.problem;
    let moves = span.moves(course.plan);
    let is_large = moments.iter().any(|moment| moment.is_bound);
    let known = || moments.iter().filter(|moment| !moment.is_bound);
    let rows: Vec<Vec<Option<&BondReport>>> = known().map(|moment| by_member(span, moment)).collect();
    let bound = |moment: &Moment| moment.utilisation.map(round4);
    let drives = if known().all(|moment| moment.drives.is_empty()) {
        Vec::new()
    } else {
        known().map(drives).collect()
    };
    SpanEntry {
        from: span.from_s,
        to: span.to_s,
        steps: span.steps.clone(),
        members: span.members.iter().map(|module| module.index()).collect(),
        supports: span
            .supports
            .iter()
            .map(|&(module, ground)| (module.index(), number_of(problem, Body::Ground(ground))))
            .collect(),
        at: moments.iter().filter(|_| moves).map(|moment| moment.at_s).collect(),
        gravity: moments.iter().filter(|_| !moves).map(|moment| level(moment.gravity)).collect(),
        at_most: moments.iter().filter(|_| is_large).map(bound).collect(),
        used: each(&rows, |bond| bond.utilisation.filter(|used| used.is_finite()).map(round4)),
        needs: each(&rows, |bond| {
            Some(if bond.needs_n.is_finite() { round4(bond.needs_n) } else { BEYOND_N })
        }),
        hosts: each(&rows, |bond| Some(number_of(problem, bond.host))),
        peels: each(&rows, |bond| Some(bond.governs == FailureMode::Peel)),
        drives,
        balanced: moments.iter().map(|moment| moment.utilisation.is_some()).collect(),
    }
}

/// The bond that is used most.
#[derive(Clone, Copy, Serialize)]
pub(super) struct Worst {
    pub(super) used: f64,
    pub(super) module: usize,
    pub(super) host: usize,
    /// Whether this bounds the use of all bonds in the structure of the module, because that is large.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub(super) at_most: bool,
}

impl SpanEntry {
    /// The bond that is used most between two instants, while gravity counts in some of its ways; of a large structure what bounds the use of them
    /// all, at its first module.
    pub(super) fn worst_between(&self, from_s: f64, to_s: f64, levels: [bool; 3]) -> Option<Worst> {
        let is_in = |k: &usize| match (self.at.get(*k), self.gravity.get(*k)) {
            // In a span with one moment the load is the same at all times.
            (Some(at), _) => self.at.len() == 1 || (from_s..=to_s).contains(at),
            (None, level) => level.is_none_or(|level| levels[usize::from(*level)]),
        };
        let at_most = (0..self.at_most.len()).filter_map(|k| {
            Some(Worst { used: self.at_most[k]?, module: *self.members.first()?, host: 0, at_most: true })
        });
        let rows = (0..self.used.len()).filter(is_in).map(|k| (&self.used[k], &self.hosts[k]));
        let seen = rows.flat_map(|(used, hosts)| self.worst_of(used, hosts));
        // Figures go straight between two moments.
        let cut = [from_s, to_s].into_iter().filter_map(|at_s| {
            let next = self.at.partition_point(|at| *at <= at_s);
            let last = next.checked_sub(1)?;
            let (a, b) = (*self.at.get(last)?, *self.at.get(next)?);
            let share = (at_s - a) / (b - a);
            let mix = |(a, b): (&Option<f64>, &Option<f64>)| Some((1.0 - share) * (*a)? + share * (*b)?);
            let used: Vec<Option<f64>> =
                self.used.get(last)?.iter().zip(self.used.get(next)?).map(mix).collect();
            self.worst_of(&used, &self.hosts[last])
        });
        at_most.chain(seen).chain(cut).reduce(Worst::or_worse)
    }

    fn worst_of(&self, used: &[Option<f64>], hosts: &[Option<usize>]) -> Option<Worst> {
        let each = self.members.iter().zip(used.iter().zip(hosts));
        let known = each.filter_map(|(&module, (used, host))| {
            Some(Worst { used: (*used)?, module, host: (*host)?, at_most: false })
        });
        known.reduce(Worst::or_worse)
    }
}

impl Worst {
    /// The worse of two; the first of equals.
    pub(super) fn or_worse(self, other: Self) -> Self {
        if other.used > self.used { other } else { self }
    }
}

/// Which ways of counting gravity occur between two instants, by their numbers.
pub(super) fn levels_between(course: &Course<'_>, from_s: f64, to_s: f64) -> [bool; 3] {
    let mut found = [false; 3];
    course.gravities(from_s, to_s).into_iter().for_each(|gravity| found[usize::from(level(gravity))] = true);
    found
}

/// How gravity counts, as a number.
const fn level(gravity: Gravity) -> u8 {
    match gravity {
        Gravity::AtRest => 0,
        Gravity::Still => 1,
        Gravity::UnderWay => 2,
    }
}

/// How gravity counts over time: from which instant on, and as which number.
pub(super) fn gravity(course: &Course<'_>) -> Vec<(f64, u8)> {
    let levels = course.gravity.iter().copied().map(level);
    let mut all: Vec<(f64, u8)> = course.instants.iter().copied().zip(levels).collect();
    all.dedup_by_key(|(_, level)| *level);
    all
}

/// The bond of each member; none where its foot is in the air.
fn by_member<'a>(span: &Span, moment: &'a Moment) -> Vec<Option<&'a BondReport>> {
    let mut row = vec![None; span.members.len()];
    for bond in &moment.bonds {
        if let Ok(index) = span.members.binary_search(&bond.child) {
            row[index] = Some(bond);
        }
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

/// Four digits after the point are enough to read.
fn round4(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}
