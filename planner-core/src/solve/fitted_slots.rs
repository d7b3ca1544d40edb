//! Goals with room: a slot is filled within a tolerance, so its place may follow the modules that are really there.
//!
//! A crew that was measured stands near the places of its slots, not on them. Slots that are filled at the start take the places of the modules in
//! them, and all others the places nearest to their own that stand on these and keep the touches of the shape.

use crate::math::{DQuat, DVec3, heading_frame, tolerance};
use crate::model::nearest::{Nearest, Seen};
use crate::model::{Body, Configuration, Hold, Module, ModuleId, Placement, Problem, SlotPlace, touches};

/// A module in a slot that is nearer to its place than this is exactly there, in metres.
const EXACT_M: f64 = 1e-9;
/// Places are moved by less than the tolerance, so that rounding never makes a slot count as empty, in metres.
const ROOM_M: f64 = 0.999 * tolerance::SLOT_M;

/// The same problem with the places of its slots fitted to the modules that fill some of them at the start; `None` where all of these are exactly in
/// place, or no places within the tolerance fit.
pub(super) fn with_fitted_slots(problem: &Problem) -> Option<Problem> {
    let fillers = problem.fillers(&problem.start);
    let shape = Shape::new(problem, &fillers)?;
    let filled = |slot: usize| fillers[slot].map(|module| problem.start.get(module).position);
    let off_m = |slot: usize| filled(slot).map_or(0.0, |there| there.distance(shape.place(slot)));
    if (0..fillers.len()).all(|slot| off_m(slot) <= EXACT_M) {
        return None;
    }
    let seen: Vec<Seen> = (0..fillers.len())
        .map(|slot| Seen {
            position: filled(slot).unwrap_or_else(|| shape.place(slot)),
            orientation: shape.nominal.get(ModuleId::at(slot)).orientation,
            position_m: if filled(slot).is_some() { 0.0 } else { tolerance::SLOT_M },
            angle_rad: f64::INFINITY,
        })
        .collect();
    let near = shape.with_places(&seen);
    let pairs: Vec<(ModuleId, Body)> = touches(&shape.crew, &shape.nominal)
        .iter()
        .map(|touch| (touch.module, touch.other))
        .filter(|(a, b)| is_free(&seen, *a) || b.module().is_some_and(|b| is_free(&seen, b)))
        .collect();
    let fit = |touching: &[(ModuleId, Body)]| {
        Nearest { problem: &shape.crew, near: &near, seen: &seen, touching }.find()
    };
    let fits = |there: &Configuration| {
        (0..fillers.len())
            .all(|slot| there.get(ModuleId::at(slot)).position.distance(shape.place(slot)) <= ROOM_M)
    };
    let places = fit(&pairs).filter(fits).or_else(|| fit(&[]).filter(fits))?;
    let mut fitted = problem.clone();
    for (index, slot) in fitted.goal.slots.iter_mut().enumerate() {
        let here = places.get(ModuleId::at(index)).position;
        slot.place = match slot.place {
            SlotPlace::OnGround(ground, _) => SlotPlace::OnGround(ground, here.truncate()),
            SlotPlace::OnSlot(below, toward) => {
                let host = places.get(ModuleId::at(below.index())).position;
                SlotPlace::OnSlot(below, (here - host).try_normalize().unwrap_or(toward))
            }
        };
    }
    Some(fitted)
}

const fn is_free(seen: &[Seen], module: ModuleId) -> bool {
    seen[module.index()].position_m > 0.0
}

/// The final shape as a crew: a module in each slot.
struct Shape {
    crew: Problem,
    /// Each in the nominal place of its slot.
    nominal: Configuration,
}

impl Shape {
    /// `None` where a slot can be filled by nobody.
    fn new(problem: &Problem, fillers: &[Option<ModuleId>]) -> Option<Self> {
        let mut crew = problem.clone();
        crew.modules.clear();
        let mut placed: Vec<Placement> = Vec::new();
        let mut models: Vec<ModuleId> = Vec::new();
        for (slot, filler) in problem.goal.slots.iter().zip(fillers) {
            // Whoever may fill it stands for all who may: they are mostly of one size.
            let model = filler.or_else(|| problem.module_ids().find(|m| problem.slot_takes(slot, *m)))?;
            let (host, up, below) = match slot.place {
                SlotPlace::OnGround(ground, _) => (Body::Ground(ground), DVec3::Z, None),
                SlotPlace::OnSlot(below, toward) => {
                    let host = (models[below.index()], placed[below.index()].position);
                    (Body::Module(ModuleId::at(below.index())), toward, Some(host))
                }
            };
            let position = problem.slot_place(slot, model, below)?;
            let orientation = heading_frame(up, DVec3::X)
                .or_else(|| heading_frame(up, DVec3::Y))
                .unwrap_or(DQuat::IDENTITY);
            placed.push(Placement { position, orientation, host, hold: Hold::Rolling });
            crew.modules.push(Module { name: slot.name.clone(), ..problem.modules[model.index()].clone() });
            models.push(model);
        }
        Some(Self { crew, nominal: Configuration::new(placed) })
    }

    fn place(&self, slot: usize) -> DVec3 {
        self.nominal.get(ModuleId::at(slot)).position
    }

    fn with_places(&self, seen: &[Seen]) -> Configuration {
        let moved = self
            .nominal
            .iter()
            .map(|(id, place)| Placement { position: seen[id.index()].position, ..*place });
        Configuration::new(moved.collect())
    }
}
