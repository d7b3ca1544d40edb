//! How far an unsolved plan goes.

use crate::wording;
use clamber_core::math::{DVec3, tolerance};
use clamber_core::model::{Body, Configuration, ModuleId, Problem, SlotPlace};
use clamber_core::motion::{Plan, apply};

/// `2 of 3 slots filled, 1 of 4 modules gathered on sill`.
pub(crate) fn describe(problem: &Problem, plan: &Plan) -> String {
    let last = last(problem, plan);
    let mut parts = Vec::new();
    let slots = problem.goal.slots.len();
    if slots > 0 {
        parts.push(format!("{} of {} filled", filled(problem, &last), wording::count(slots, "slot")));
    }
    if let (Some(gather), Some(count)) = (problem.goal.gather, problem.gathered(&last)) {
        let deck = &problem.decks[gather.deck.index()].name;
        parts.push(format!("{count} of {} gathered on {deck}", wording::count(gather.count, "module")));
    }
    parts.join(", ")
}

fn last(problem: &Problem, plan: &Plan) -> Configuration {
    let mut now = problem.start.clone();
    for step in &plan.steps {
        match apply(problem, &now, step.module, &step.action) {
            Ok(after) => now = after,
            Err(_) => break,
        }
    }
    now
}

/// Slots with a module in place, whatever its hold.
fn filled(problem: &Problem, last: &Configuration) -> usize {
    let mut fillers: Vec<Option<(ModuleId, DVec3)>> = Vec::new();
    for slot in &problem.goal.slots {
        let filler = last.iter().find_map(|(id, place)| {
            if !problem.slot_takes(slot, id) || fillers.iter().flatten().any(|(used, _)| *used == id) {
                return None;
            }
            let (host, below) = match slot.place {
                SlotPlace::OnDeck(deck, _) => (Body::Deck(deck), None),
                SlotPlace::OnSlot(below, _) => {
                    let below = (*fillers.get(below.index())?)?;
                    (Body::Module(below.0), Some(below))
                }
            };
            let nominal = problem.slot_place(slot, id, below)?;
            let there = place.host == host && place.position.distance(nominal) <= tolerance::SLOT_M;
            there.then_some((id, nominal))
        });
        fillers.push(filler);
    }
    fillers.iter().flatten().count()
}
