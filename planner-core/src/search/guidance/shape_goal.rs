//! A shape as a goal.

use crate::model::{Body, BondForest, Configuration, Hold, Problem, Slot, SlotId, SlotPlace};

/// The places of a configuration as slots, hosts first, each named after the module that stands there and for its class.
pub(crate) fn shape_as_slots(problem: &Problem, shape: &Configuration) -> Vec<Slot> {
    let family = BondForest::new(shape);
    let mut slot_of = vec![SlotId(0); problem.modules.len()];
    let mut slots = Vec::new();
    for &id in &family.order {
        let place = shape.get(id);
        let module = &problem.modules[id.index()];
        let alone_in_class = problem.modules.iter().filter(|m| m.class == module.class).count() == 1;
        slot_of[id.index()] = SlotId::at(slots.len());
        slots.push(Slot {
            name: module.name.clone(),
            place: match place.host {
                Body::Ground(deck) => SlotPlace::OnGround(deck, problem.sole_from_above(deck, place)),
                // No foot stands on a stone.
                Body::Stone(_) => continue,
                Body::Module(host) => SlotPlace::OnSlot(slot_of[host.index()], place.up()),
            },
            kind: Some(module.kind),
            module: alone_in_class.then_some(id),
            hold: None::<Hold>,
            payload_kg: 0.0,
            optional: false,
        });
    }
    slots
}
