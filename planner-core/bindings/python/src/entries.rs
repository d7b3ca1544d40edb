//! Values as Python takes them: tuples of numbers and names.

use crate::refused;
use clamber_core::follow::{Measured, Scatter};
use clamber_core::{Body, Configuration, DQuat, DVec3, Hold, ModuleId, Placement, Problem};
use pyo3::prelude::*;

/// The name of a module, its centre, its orientation `[x, y, z, w]`, what it stands on, its hold.
pub(crate) type PlaceEntry = (String, [f64; 3], [f64; 4], String, &'static str);

pub(crate) fn place(problem: &Problem, id: ModuleId, place: &Placement) -> PlaceEntry {
    (
        problem.module_name(id).to_owned(),
        place.position.to_array(),
        place.orientation.to_array(),
        problem.name_of(place.host).to_owned(),
        place.hold.word(),
    )
}

pub(crate) fn places(problem: &Problem, configuration: &Configuration) -> Vec<PlaceEntry> {
    configuration.iter().map(|(id, own)| place(problem, id, own)).collect()
}

pub(crate) fn module(problem: &Problem, name: &str) -> PyResult<ModuleId> {
    let found = problem.module_ids().find(|id| problem.module_name(*id) == name);
    found.ok_or_else(|| {
        let names: Vec<&str> = problem.modules.iter().map(|module| module.name.as_str()).collect();
        refused(format!("there is no module \"{name}\"; there are {}", names.join(", ")))
    })
}

fn body(problem: &Problem, name: &str) -> PyResult<Body> {
    match problem.decks.iter().find(|deck| deck.name == name) {
        Some(deck) => Ok(Body::Ground(deck.ground)),
        None => module(problem, name).map(Body::Module),
    }
}

/// Measured poses, one for each module in the order of the crew. What is not given about hosts and holds is as in `like`.
pub(crate) fn measured(problem: &Problem, like: &Configuration, poses: &Poses) -> PyResult<Vec<Measured>> {
    let count = problem.modules.len();
    let Poses { positions, orientations, on, holds, scatter } = poses;
    let fits = |number: usize| number == count;
    if !fits(positions.len())
        || !fits(orientations.len())
        || !on.as_ref().is_none_or(|on| fits(on.len()))
        || !holds.as_ref().is_none_or(|holds| fits(holds.len()))
    {
        return Err(refused(format!(
            "the crew has {count} modules; give one pose for each, in the order of the crew"
        )));
    }
    let scatter = Scatter { position_m: scatter.0, angle_rad: scatter.1 };
    let one = |(id, own): (ModuleId, &Placement)| {
        let index = id.index();
        let mut measured = Measured::exactly(own, scatter);
        measured.position = DVec3::from_array(positions[index]);
        measured.orientation = DQuat::from_array(orientations[index]);
        if let Some(on) = on {
            measured.host = body(problem, &on[index])?;
        }
        if let Some(holds) = holds {
            measured.hold = match holds[index].as_str() {
                "rolling" => Hold::Rolling,
                "braced" => Hold::Braced,
                other => return Err(refused(format!("a hold is rolling or braced, not \"{other}\""))),
            };
        }
        Ok(measured)
    };
    like.iter().map(one).collect()
}

/// Poses as Python gives them.
#[derive(FromPyObject)]
pub(crate) struct Poses {
    positions: Vec<[f64; 3]>,
    orientations: Vec<[f64; 4]>,
    on: Option<Vec<String>>,
    holds: Option<Vec<String>>,
    /// Metres, radians.
    scatter: (f64, f64),
}
