//! What a crew that strides is at, from instant to instant: it forms a machine, walks stride by stride, and arrives. And who is which part of it.

use clamber_core::unstable::course::{Course, Span};
use clamber_core::{Configuration, ModuleId, Move, Step};
use serde::Serialize;

/// A stretch of time with one purpose.
#[derive(Serialize)]
pub(super) struct PhaseEntry {
    pub(super) from: f64,
    pub(super) to: f64,
    kind: Kind,
    /// The number of the stride, from 1; none before and after the walk.
    #[serde(skip_serializing_if = "Option::is_none")]
    stride: Option<usize>,
    pub(super) words: String,
}

/// What a phase is for: forming, then legs set and a stride in turn, then `Settle`, or `MakeReady`, `ComeApart` and `Leave`.
#[derive(Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Kind {
    Form,
    Set,
    Stride,
    Settle,
    MakeReady,
    ComeApart,
    Leave,
}

impl PhaseEntry {
    /// Whether the machine stands, and its legs are set one after the other.
    pub(super) const fn is_stance(&self) -> bool {
        matches!(self.kind, Kind::Set | Kind::MakeReady | Kind::Settle)
    }

    /// Whether a span of the machine is in it: phases begin and end where its spans do.
    pub(super) fn holds(&self, span: &Span) -> bool {
        span.from_s >= self.from && span.to_s <= self.to
    }
}

/// The part of a module in a machine that strides.
#[derive(Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Role {
    Hub,
    Knee,
    End,
}

/// The phases of a plan with strides, one after the other without gaps; none of others.
pub(super) fn phases(course: &Course<'_>) -> Vec<PhaseEntry> {
    let strides = strides(course);
    let (Some(first), Some(last)) = (strides.first(), strides.last()) else { return Vec::new() };
    let hub = first.module;
    // Others may stand by.
    let machine = course.configuration(first.start_s).carried_with(hub);
    let is_whole = |there: &Configuration| there.carried_with(hub).len() >= machine.len();
    let pieces: Vec<Piece> = pieces(course);
    let before = pieces.iter().take_while(|piece| piece.to_s <= first.start_s);
    let formed_s = before.filter(|piece| !is_whole(&piece.there)).map(|piece| piece.to_s).fold(0.0, f64::max);
    let after = pieces.iter().filter(|piece| piece.from_s >= last.end_s());
    // It comes apart from the hop on by which the first one leaves.
    let first_apart = after.clone().find(|piece| !is_whole(&piece.there));
    let hops = course.plan.steps.iter().filter(|step| matches!(step.action, Move::Hop { .. }));
    let members = hops.filter(|step| machine.contains(&step.module) && step.start_s >= last.end_s());
    let apart_s = first_apart.map(|piece| {
        let leaving = members.filter(|step| step.end_s() <= piece.from_s);
        leaving.map(|step| step.start_s).fold(last.end_s(), f64::max)
    });
    let carries =
        |piece: &&Piece| machine.iter().any(|member| piece.there.get(*member).host.module().is_some());
    let scattered_s = after.filter(carries).map(|piece| piece.to_s).fold(0.0, f64::max);
    let mut phases = Phases { at_s: 0.0, entries: Vec::new() };
    phases.until(formed_s, Kind::Form, None, "Forming the machine".into());
    for (index, step) in strides.iter().enumerate() {
        let (number, count) = (index + 1, strides.len());
        let walks = format!("Walking, stride {number} of {count}");
        phases.until(step.start_s, Kind::Set, Some(number), format!("{walks}: the legs are set for it"));
        phases.until(step.end_s(), Kind::Stride, Some(number), format!("{walks}: the machine strides"));
    }
    if let Some(apart_s) = apart_s {
        phases.until(
            apart_s,
            Kind::MakeReady,
            None,
            "Arrived: the legs are set so that the machine can come apart".into(),
        );
        phases.until(
            scattered_s,
            Kind::ComeApart,
            None,
            "Arrived: the machine comes apart, and its modules go to their places".into(),
        );
        phases.until(
            course.end_s(),
            Kind::Leave,
            None,
            "Arrived: the last modules go to their places".into(),
        );
    } else {
        phases.until(course.end_s(), Kind::Settle, None, "Arrived: the legs take their places".into());
    }
    phases.entries
}

/// The parts of the machine: the last one of a module that has several. Empty where nothing strides.
pub(super) fn roles(course: &Course<'_>) -> Vec<Option<Role>> {
    let strides = strides(course);
    if strides.is_empty() {
        return Vec::new();
    }
    let mut roles = vec![None; course.problem.modules.len()];
    for step in strides {
        roles[step.module.index()] = Some(Role::Hub);
        let begins = course.configuration(step.start_s);
        for &end in ends(step) {
            roles[end.index()] = Some(Role::End);
            if let Some(knee) = begins.get(end).host.module() {
                roles[knee.index()] = Some(Role::Knee);
            }
        }
    }
    roles
}

/// The ends that a stride rolls on.
fn ends(step: &Step) -> &[ModuleId] {
    match &step.action {
        Move::Stride { planted, .. } => planted.ids(),
        _ => &[],
    }
}

/// The crew between two instants at which steps begin or end; the last piece is the rest that follows.
struct Piece {
    from_s: f64,
    to_s: f64,
    /// As it stands at the beginning.
    there: Configuration,
}

fn pieces(course: &Course<'_>) -> Vec<Piece> {
    let ends = course.instants.iter().skip(1).chain(course.instants.last());
    let piece = |(&from_s, &to_s)| Piece { from_s, to_s, there: course.configuration(from_s) };
    course.instants.iter().zip(ends).map(piece).collect()
}

fn strides<'a>(course: &Course<'a>) -> Vec<&'a Step> {
    let steps = course.plan.steps.iter();
    let mut strides: Vec<&Step> = steps.filter(|step| matches!(step.action, Move::Stride { .. })).collect();
    strides.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
    strides
}

struct Phases {
    at_s: f64,
    entries: Vec<PhaseEntry>,
}

impl Phases {
    /// Adds what happens until then, if anything.
    fn until(&mut self, to: f64, kind: Kind, stride: Option<usize>, words: String) {
        if to > self.at_s {
            self.entries.push(PhaseEntry { from: self.at_s, to, kind, stride, words });
            self.at_s = to;
        }
    }
}
