//! Deals the crew out to the shapes.

use super::shapes::places;
use crate::control::{Interrupt, Stopped};
use crate::model::{ModuleId, Problem};
use pathfinding::kuhn_munkres::kuhn_munkres_min;
use pathfinding::matrix::Matrix;

/// The price of a pair that cannot be, in square millimetres: more than of all that can be together.
const NEVER: i64 = 1 << 50;
/// The greatest price of a pair that can be.
const MOST: f64 = 1e11;

/// The modules of each shape, in the order of the crew; `None` if the slots cannot all be filled.
///
/// The assignment of modules to slots with the least sum of squared distances (Kuhn 1955, Munkres 1957), which avoids long ways before it avoids many.
/// Complexity: cubic in the crew.
pub(super) fn deal(
    problem: &Problem,
    shapes: &[Vec<usize>],
    interrupt: Interrupt<'_>,
) -> Result<Option<Vec<Vec<ModuleId>>>, Stopped> {
    let (slots, modules) = (problem.goal.slots.len(), problem.modules.len());
    if slots > modules {
        return Ok(None);
    }
    interrupt.go_on()?;
    let places = places(problem);
    let cost = |slot: usize, module: usize| {
        let (wanted, module) = (&problem.goal.slots[slot], ModuleId::at(module));
        if !problem.slot_takes(wanted, module) || problem.modules[module.index()].stuck {
            return NEVER;
        }
        let apart = problem.start.get(module).position.truncate() - places[slot].truncate();
        (apart.length_squared() * 1e6).min(MOST) as i64
    };
    let (sum, module_of) = kuhn_munkres_min(&Matrix::from_fn(slots, modules, |(slot, m)| cost(slot, m)));
    if sum >= NEVER {
        return Ok(None);
    }
    let crew = |slots: &Vec<usize>| {
        let mut members: Vec<ModuleId> = slots.iter().map(|&slot| ModuleId::at(module_of[slot])).collect();
        members.sort_unstable();
        members
    };
    Ok(Some(shapes.iter().map(crew).collect()))
}
