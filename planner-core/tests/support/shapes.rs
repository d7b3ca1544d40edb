//! Shapes that goals ask for, as crews that stand in them.

use clamber_core::{Configuration, Hold, Module, ModuleId, Placement, Problem, Slot, SlotPlace};

/// The final shape, all braced: in every slot the first module of the crew that is left and of the kind asked for. Slots come after their hosts.
pub(crate) fn target(problem: &Problem) -> (Problem, Configuration) {
    let slots = &problem.goal.slots;
    let mut crew = problem.modules.clone();
    let fill = |slot: &Slot| {
        let fits = |module: &Module| slot.kind.is_none_or(|kind| module.kind == kind);
        crew.remove(crew.iter().position(fits).expect("enough modules of each kind"))
    };
    let modules: Vec<Module> = slots.iter().map(fill).collect();
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
