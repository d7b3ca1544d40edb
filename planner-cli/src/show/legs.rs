//! What the legs of a machine do between strides: each leaves the deck with its end, and comes down again there or elsewhere.

use super::phases::{PhaseEntry, Role};
use super::spans::SpanEntry;
use clamber_core::unstable::course::Course;
use clamber_core::{ModuleId, Move, Step};
use serde::Serialize;

/// A stretch of time in which the end of a leg touches no deck at rest.
#[derive(Serialize)]
pub(super) struct LegEntry {
    from: f64,
    to: f64,
    /// The module on the hub, and the one on it whose shell is the end of the leg.
    knee: usize,
    end: usize,
    /// The deck that it leaves, and the one that it comes down on; none where it does not come down as part of the machine.
    off: usize,
    onto: Option<usize>,
    /// Whether the leg goes somewhere; otherwise its end turns where it is.
    swings: bool,
}

/// The stretches of all legs, in the order of their beginnings; empty where nothing strides.
pub(super) fn legs(
    course: &Course<'_>,
    spans: &[SpanEntry],
    phases: &[PhaseEntry],
    roles: &[Option<Role>],
) -> Vec<LegEntry> {
    let stances = || phases.iter().filter(|phase| phase.is_stance());
    let ends = course.problem.module_ids().filter(|id| roles.get(id.index()) == Some(&Some(Role::End)));
    let mut legs: Vec<LegEntry> =
        ends.flat_map(|end| stances().flat_map(move |phase| stretches(course, spans, phase, end))).collect();
    legs.sort_by(|a, b| a.from.total_cmp(&b.from).then(a.end.cmp(&b.end)));
    legs
}

/// Those of one leg in one phase.
fn stretches(course: &Course<'_>, spans: &[SpanEntry], phase: &PhaseEntry, end: ModuleId) -> Vec<LegEntry> {
    let mut legs = Vec::new();
    let mut stands = None;
    let mut under_way: Option<LegEntry> = None;
    let own = course.spans.iter().zip(spans).filter(|(span, _)| span.members.contains(&end));
    for (span, entry) in own.filter(|(span, _)| phase.holds(span)) {
        if let Some((_, deck)) = entry.supports.iter().find(|(module, _)| *module == end.index()) {
            stands = Some(*deck);
            legs.extend(under_way.take().map(|leg| LegEntry { to: span.from_s, onto: Some(*deck), ..leg }));
            continue;
        }
        let knee = span.place(end).and_then(|place| place.host.module());
        let Some((off, knee)) = stands.zip(knee) else { continue };
        let leg = under_way.get_or_insert(LegEntry {
            from: span.from_s,
            to: phase.to,
            knee: knee.index(),
            end: end.index(),
            off,
            onto: None,
            swings: false,
        });
        leg.swings |= span.steps.iter().any(|step| moves_leg(&course.plan.steps[*step], knee, end));
    }
    legs.extend(under_way);
    legs
}

/// Whether it is anything but a turn of the end on its own foot.
fn moves_leg(step: &Step, knee: ModuleId, end: ModuleId) -> bool {
    match step.action {
        Move::Brace | Move::Release => false,
        Move::Yaw { .. } => step.module == knee,
        _ => step.module == knee || step.module == end,
    }
}
