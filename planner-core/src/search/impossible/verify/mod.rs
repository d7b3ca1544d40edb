//! Verifies proofs by methods independent of those that found them: nothing here searches or floods, and no planner's estimate is used.

mod decks;
mod frozen;
mod inside;
mod load;
mod shape;

use super::Impossible;
use crate::model::Problem;

/// Whether a proof holds.
pub(super) fn holds(proof: &Impossible, problem: &Problem) -> bool {
    match proof {
        Impossible::TooFewToGather { .. }
        | Impossible::NoAssignment
        | Impossible::SlotsOverlap { .. }
        | Impossible::SlotInSolid { .. }
        | Impossible::SlotOverEdge { .. }
        | Impossible::SlotBeyondReach { .. }
        | Impossible::StuckElsewhere { .. } => shape::holds(proof, problem),
        Impossible::TakenForGood { slot, module } => frozen::is_wrongly_taken(problem, *slot, *module),
        Impossible::KeepTheirHosts { .. } => frozen::some_slot_stays_empty(problem),
        Impossible::TooFewCanGather { .. } => frozen::too_few_can_gather(problem),
        _ if !problem.is_plain() => false,
        Impossible::TooFewToReach { deck, within_reach, .. } => {
            decks::are_all_within_reach(problem, within_reach)
                && !within_reach.contains(deck)
                && decks::is_asked(problem, *deck)
        }
        Impossible::TooFewForLast { deck, .. } => decks::last_is_left(problem, *deck),
        Impossible::CutOff { target, enclosure, within_reach } => {
            decks::are_all_within_reach(problem, within_reach)
                && inside::is_closed(problem, enclosure, within_reach)
                && inside::is_asked(problem, enclosure, *target)
        }
        Impossible::Overloaded { slot, .. } => load::fails(problem, *slot),
    }
}
