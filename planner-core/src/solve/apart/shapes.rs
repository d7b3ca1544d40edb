//! The shapes of a goal: slots that stand on one another, or so near that a module at one would be in the way of the other.

use crate::math::{DVec3, Grid};
use crate::model::{ModuleId, Problem, SlotPlace};
use petgraph::unionfind::UnionFind;

/// Slots belong to one shape if the gap between their modules is below this, in diameters of the largest shell.
const ROOM_DIAMETERS: f64 = 1.5;

/// The slots of each shape, in the order of the goal.
pub(super) fn shapes(problem: &Problem) -> Vec<Vec<usize>> {
    let slots = &problem.goal.slots;
    let places = places(problem);
    let largest_m = problem.kinds.iter().map(|kind| kind.shell_radius_m).fold(0.0, f64::max);
    let near_m = 2.0 * largest_m * (1.0 + ROOM_DIAMETERS);
    let mut joined: UnionFind<usize> = UnionFind::new(slots.len());
    let mut grid = Grid::new(near_m);
    for (index, (slot, place)) in slots.iter().zip(&places).enumerate() {
        if let SlotPlace::OnSlot(below, _) = slot.place {
            joined.union(index, below.index());
        }
        let mut near = Vec::new();
        grid.collect(*place, near_m, &mut near);
        for other in near.into_iter().filter(|&other: &usize| places[other].distance(*place) < near_m) {
            joined.union(index, other);
        }
        grid.insert(*place, 0.0, index);
    }
    let mut found: indexmap::IndexMap<usize, Vec<usize>> = indexmap::IndexMap::new();
    for index in 0..slots.len() {
        found.entry(joined.find(index)).or_default().push(index);
    }
    found.into_values().collect()
}

/// The place of every slot, as if all were filled by the first module that it takes.
pub(super) fn places(problem: &Problem) -> Vec<DVec3> {
    let mut places: Vec<(ModuleId, DVec3)> = Vec::with_capacity(problem.goal.slots.len());
    for slot in &problem.goal.slots {
        let taker = problem.module_ids().find(|&m| problem.slot_takes(slot, m)).unwrap_or(ModuleId(0));
        let host = match slot.place {
            SlotPlace::OnGround(..) => None,
            SlotPlace::OnSlot(below, _) => places.get(below.index()).copied(),
        };
        let place = problem.slot_place(slot, taker, host).unwrap_or(DVec3::ZERO);
        places.push((taker, place));
    }
    places.into_iter().map(|(_, place)| place).collect()
}
