//! Poses as they come in, with names made into what they name.

use super::answer::Refusal;
use super::event::{HoldWord, PoseEntry, PosesFields};
use clamber_core::follow::{Follower, Measured, Scatter};
use clamber_core::{Body, DQuat, DVec3, Hold, ModuleId, Problem};

/// The module of a name.
pub(crate) fn module(problem: &Problem, field: &str, name: &str) -> Result<ModuleId, Refusal> {
    let found = problem.module_ids().find(|id| problem.module_name(*id) == name);
    found.ok_or_else(|| Refusal::new(field, format!("\"{name}\""), format!("a module: {}", names(problem))))
}

fn names(problem: &Problem) -> String {
    let names: Vec<&str> = problem.modules.iter().map(|module| module.name.as_str()).collect();
    names.join(", ")
}

/// One pose for each module, in the order of the crew.
pub(crate) fn poses(
    follower: &Follower<'_>,
    problem: &Problem,
    fields: &PosesFields,
) -> Result<Vec<Measured>, Refusal> {
    let expected = follower.expected();
    let mut found: Vec<Option<Measured>> = vec![None; problem.modules.len()];
    for (index, pose) in fields.poses.iter().enumerate() {
        let id = module(problem, &format!("poses[{index}].module"), &pose.module)?;
        if found[id.index()].is_some() {
            let field = format!("poses[{index}].module");
            return Err(Refusal::new(
                field,
                format!("\"{}\" a second time", pose.module),
                "each module once",
            ));
        }
        let mut measured = Measured::exactly(expected.get(id), scatter(pose));
        measured.position = DVec3::from_array(pose.position_m);
        measured.orientation = DQuat::from_array(pose.orientation_xyzw);
        if let Some(on) = &pose.on {
            measured.host = body(problem, &format!("poses[{index}].on"), on)?;
        }
        if let Some(hold) = pose.hold {
            measured.hold = match hold {
                HoldWord::Rolling => Hold::Rolling,
                HoldWord::Braced => Hold::Braced,
            };
        }
        found[id.index()] = Some(measured);
    }
    let missing = found.iter().position(Option::is_none);
    match missing {
        Some(missing) => {
            let name = &problem.modules[missing].name;
            Err(Refusal::new("poses", format!("none of {name}"), "one for each module"))
        }
        None => Ok(found.into_iter().flatten().collect()),
    }
}

fn scatter(pose: &PoseEntry) -> Scatter {
    let given = pose.scatter.as_ref();
    given.map_or_else(Scatter::default, |s| Scatter { position_m: s.position_m, angle_rad: s.angle_rad })
}

fn body(problem: &Problem, field: &str, name: &str) -> Result<Body, Refusal> {
    if let Some(deck) = problem.decks.iter().find(|deck| deck.name == name) {
        return Ok(Body::Ground(deck.ground));
    }
    module(problem, field, name).map(Body::Module).map_err(|_| {
        let decks: Vec<&str> = problem.decks.iter().map(|deck| deck.name.as_str()).collect();
        let allowed = format!("a deck or a module: {}, {}", decks.join(", "), names(problem));
        Refusal::new(field, format!("\"{name}\""), allowed)
    })
}
