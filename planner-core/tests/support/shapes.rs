//! Shapes that goals ask for, as crews that stand in them.

use clamber_core::{Configuration, Hold, Module, ModuleId, Placement, Problem, SlotPlace};

/// The final shape: the first modules of the crew in the slots, all braced. Slots come after their hosts.
pub(crate) fn target(problem: &Problem) -> (Problem, Configuration) {
    let slots = &problem.goal.slots;
    let modules: Vec<Module> = problem.modules[..slots.len()].to_vec();
    let kind = |index: usize| &problem.kinds[modules[index].kind.index()];
    let mut places: Vec<Placement> = Vec::new();
    for (index, slot) in slots.iter().enumerate() {
        let place = match slot.place {
            SlotPlace::OnGround(id, at) => {
                Placement::on_ground(id, problem.ground(id), kind(index), at, None)
            }
            SlotPlace::OnSlot(below, toward) => {
                let centre = places[below.index()].position;
                Placement::on_shell(ModuleId(below.0), centre, kind(below.index()), kind(index), toward, None)
            }
        };
        places.push(Placement { hold: Hold::Braced, ..place.expect("a direction") });
    }
    (Problem { modules, ..problem.clone() }, Configuration::new(places))
}
