//! The slots of the goal as ghosts: where they are if a module of the first kind that fits fills them.

use clamber_core::unstable::math::heading_frame;
use clamber_core::{DVec3, Hold, ModuleId, Problem, SlotPlace};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct SlotEntry {
    pub(super) name: String,
    pub(super) kind: usize,
    pub(super) position: [f64; 3],
    orientation: [f64; 4],
    hold: Option<&'static str>,
    module: Option<usize>,
    payload: f64,
}

pub(super) fn slots(problem: &Problem) -> Vec<SlotEntry> {
    // Hosts come before what stands on them. A slot that nothing fits is no ghost, and neither is what stands on it.
    let mut placed: Vec<Option<(ModuleId, DVec3)>> = Vec::new();
    let mut entries = Vec::new();
    for slot in &problem.goal.slots {
        let host = match slot.place {
            SlotPlace::OnGround(..) => None,
            SlotPlace::OnSlot(below, _) => placed.get(below.index()).copied().flatten(),
        };
        let module = problem.module_ids().find(|&module| problem.slot_takes(slot, module));
        let place = module.and_then(|module| Some((module, problem.slot_place(slot, module, host)?)));
        placed.push(place);
        let Some((module, position)) = place else { continue };
        let up = match slot.place {
            SlotPlace::OnGround(..) => DVec3::Z,
            SlotPlace::OnSlot(_, toward) => toward,
        };
        let orientation = heading_frame(up, DVec3::X).or_else(|| heading_frame(up, DVec3::Y));
        entries.push(SlotEntry {
            name: slot.name.clone(),
            kind: problem.modules[module.index()].kind.index(),
            position: position.to_array(),
            orientation: orientation.unwrap_or_default().to_array(),
            hold: slot.hold.map(Hold::word),
            module: slot.module.map(ModuleId::index),
            payload: slot.payload_kg,
        });
    }
    entries
}
