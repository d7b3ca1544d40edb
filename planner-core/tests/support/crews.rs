//! Crews put together module by module.

use super::fixture;
use clamber_core::unstable::geometry::{Prism, Slope};
use clamber_core::unstable::model::grounds;
use clamber_core::{
    Configuration, Goal, GroundId, Hold, Kind, KindId, LostParts, Module, ModuleId, Placement, Problem, Slot,
    SlotPlace, Surfacing,
};
use clamber_core::{DVec2, DVec3};

/// A deck before it is laid: its name, solid and surface.
pub(crate) type Laid = (String, Prism, Surfacing);

/// The demo kind: ball radius and ride height 60 mm, foot radius 40 mm, half a kilogram.
pub(crate) fn cobble() -> Kind {
    fixture("pair").1.kinds[0].clone()
}

/// Everything a foot can ask of the ground.
pub(crate) fn steel(friction: f64) -> Laid {
    let (name, solid, surfacing) = bare_ground(friction);
    (name, solid, Surfacing { ferrous: true, sealable: true, ..surfacing })
}

/// Ground on which only weight and friction hold, 4 m square, its top at height 0.
pub(crate) fn bare_ground(friction: f64) -> Laid {
    block("ground", [-2.0, -2.0], [2.0, 2.0], f64::NEG_INFINITY, 0.0, friction)
}

/// A block with upright sides, neither ferrous nor sealable.
pub(crate) fn block(name: &str, low: [f64; 2], high: [f64; 2], bottom: f64, top: f64, friction: f64) -> Laid {
    let outline = [[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]];
    let solid = Prism { outline: outline.map(DVec2::from).to_vec(), bottom, top: Slope::level(top) };
    (name.into(), solid, Surfacing::bare(friction))
}

/// A scene without modules and goal, with the limits of the fixtures.
pub(crate) fn empty(kinds: Vec<Kind>, decks: Vec<Laid>) -> Problem {
    let (_, pair) = fixture("pair");
    let (modules, start, goal) = (Vec::new(), Configuration::default(), Goal::default());
    let (decks, grounds) = grounds(decks, true);
    Problem { name: "test".into(), kinds, decks, grounds, modules, start, goal, ..pair }
}

/// Changes the decks of a scene, and forms its grounds anew.
pub(crate) fn lay_anew(problem: &mut Problem, change: impl FnOnce(&mut Vec<Laid>)) {
    let laid = |deck: &clamber_core::Deck| {
        (deck.name.clone(), deck.solid.clone(), problem.ground(deck.ground).surfacing)
    };
    let mut decks = problem.decks.iter().map(laid).collect();
    change(&mut decks);
    (problem.decks, problem.grounds) = grounds(decks, true);
    problem.assign_regions();
}

/// Adds a module with a placement.
pub(crate) fn add(problem: &mut Problem, kind: KindId, place: Placement) -> ModuleId {
    let id = ModuleId::at(problem.modules.len());
    let name = format!("m{}", id.index() + 1);
    problem.modules.push(Module {
        name,
        kind,
        stuck: false,
        lost: LostParts::default(),
        payload_kg: 0.0,
        class: 0,
    });
    let places = problem.start.iter().map(|(_, p)| *p).chain([place]).collect();
    problem.start = Configuration::new(places);
    problem.assign_classes();
    problem.assign_regions();
    id
}

/// Adds a module of the first kind on the first deck.
pub(crate) fn on_deck(problem: &mut Problem, at: [f64; 2]) -> ModuleId {
    let ground = GroundId(0);
    let place =
        Placement::on_ground(ground, problem.ground(ground), &problem.kinds[0], DVec2::from(at), None);
    add(problem, KindId(0), place.expect("decks take any heading along x"))
}

/// Adds a module of the first kind on another's shell.
pub(crate) fn on_shell(problem: &mut Problem, host: ModuleId, toward: DVec3) -> ModuleId {
    let centre = problem.start.get(host).position;
    let place = Placement::on_shell(host, centre, problem.kind(host), &problem.kinds[0], toward, None);
    add(problem, KindId(0), place.expect("a direction"))
}

/// Braces everybody.
pub(crate) fn brace_all(problem: &mut Problem) {
    problem.start = problem.start.with_holds(|_| Hold::Braced);
}

/// Centre of a module at the start.
pub(crate) fn centre(problem: &Problem, id: ModuleId) -> DVec3 {
    problem.start.get(id).position
}

/// A slot for any module, without payload.
pub(crate) fn slot(name: &str, place: SlotPlace) -> Slot {
    Slot { name: name.into(), place, kind: None, module: None, hold: None, payload_kg: 0.0, optional: false }
}
