//! Scenes with a wall to climb, over a step of two or three modules at its foot.

use super::GenerateError;
use super::draft::{Draft, concrete};
use super::rehearsal::Rehearsal;
use crate::math::{DVec3, SplitMix64};
use crate::model::{Body, GroundId, ModuleId};

/// Height that a module can gain over one module at the wall, in metres: `√(120² − 100²)` mm.
const ONE_STEP_M: f64 = 0.066;

/// Some modules climb the wall; two or three stay as the step.
pub(super) fn climb(title: String, modules: usize, random: &mut SplitMix64) -> Result<Draft, GenerateError> {
    let width = Draft::scattered_width_m(modules);
    let high = random.below(2) == 1;
    let top = if high { random.thousandths(0.125, 0.185) } else { random.thousandths(0.02, ONE_STEP_M) };
    let edge = 0.5 * width + 0.4;
    let decks = vec![
        concrete("apron", [-width - 0.6, -edge], [0.0, edge], 0.0),
        concrete("sill", [0.0, -edge], [width + 0.6, edge], top),
    ];
    let mut draft = Draft::new(title, decks);
    draft.scatter("apron", modules, [-width - 0.2, -0.5 * width], random);
    let stay = if high { 3 } else { 2 };
    draft.gather("sill", modules - stay);
    let mut crew = Rehearsal::new(draft.problem()?);
    let across = random.thousandths(-0.1, 0.1);
    if rehearse(&mut crew, top, across, stay) {
        draft.rehearsed = Some(crew.trips);
    }
    Ok(draft)
}

/// A step at the wall, with a module beside it as a counterweight; the others climb over it one after the other.
fn rehearse(crew: &mut Rehearsal, top: f64, across: f64, stay: usize) -> bool {
    let bond = crew.bond_m();
    let (apron, sill) = (Body::Ground(GroundId(0)), Body::Ground(GroundId(1)));
    let half = 0.5 * bond;
    // It touches the wall, or the wall's edge where that is lower than its centre: it cannot tip towards the wall.
    let off = (half * half - (half - top).max(0.0).powi(2)).sqrt();
    let base_at = DVec3::new(-off, across, half);
    // The nearest to the wall form the step, so that none of them has to pass the others.
    let mut order: Vec<ModuleId> = crew.problem.module_ids().collect();
    order.sort_by(|&a, &b| crew.at(a).distance(base_at).total_cmp(&crew.at(b).distance(base_at)));
    let (step, climbers) = order.split_at(stay);
    let (base, weight) = (step[0], step[1]);
    let mut highest = (Body::Module(base), base_at + DVec3::Z * bond);
    let built =
        crew.go(base, apron, base_at) && crew.go(weight, Body::Module(base), base_at - DVec3::Y * bond);
    if !built {
        return false;
    }
    if let Some(&upper) = step.get(2) {
        if !crew.go(upper, highest.0, highest.1) {
            return false;
        }
        highest = (Body::Module(upper), highest.1 + DVec3::Z * bond);
    }
    climbers.iter().enumerate().all(|(index, &climber)| {
        let row = index as f64 - 0.5 * climbers.len() as f64;
        let place = DVec3::new(0.25, across + 0.15 * row, top + half);
        crew.go_past(climber, highest, sill, place)
    })
}
