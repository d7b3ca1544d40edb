//! Crews put together module by module.

use super::fixture;
use clamber_core::unstable::geometry::Prism;
use clamber_core::{
    Configuration, Deck, Goal, GroundId, Hold, Kind, KindId, Module, ModuleId, Placement, Problem, Slot,
    SlotPlace,
};
use clamber_core::{DVec2, DVec3};

/// The demo kind: ball radius and ride height 60 mm, foot radius 40 mm, half a kilogram.
pub(crate) fn cobble() -> Kind {
    fixture("pair").1.kinds[0].clone()
}

/// Everything a foot can ask of the ground.
pub(crate) fn steel(friction: f64) -> Deck {
    Deck { friction, ferrous: true, sealable: true, ..bare_ground(friction) }
}

/// Ground on which only weight and friction hold, 4 m square, its top at height 0.
pub(crate) fn bare_ground(friction: f64) -> Deck {
    block("ground", [-2.0, -2.0], [2.0, 2.0], f64::NEG_INFINITY, 0.0, friction)
}

/// A block with upright sides, neither ferrous nor sealable.
pub(crate) fn block(name: &str, low: [f64; 2], high: [f64; 2], bottom: f64, top: f64, friction: f64) -> Deck {
    let outline = [[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]];
    let solid = Prism { outline: outline.map(DVec2::from).to_vec(), bottom, top };
    Deck { name: name.into(), solid, friction, ferrous: false, sealable: false }
}

/// A scene without modules and goal, with the limits of the fixtures.
pub(crate) fn empty(kinds: Vec<Kind>, decks: Vec<Deck>) -> Problem {
    let (_, pair) = fixture("pair");
    let (modules, start, goal) = (Vec::new(), Configuration::default(), Goal::default());
    Problem { name: "test".into(), kinds, decks, modules, start, goal, ..pair }
}

/// Adds a module with a placement.
pub(crate) fn add(problem: &mut Problem, kind: KindId, place: Placement) -> ModuleId {
    let id = ModuleId::at(problem.modules.len());
    let name = format!("m{}", id.index() + 1);
    problem.modules.push(Module { name, kind, stuck: false, payload_kg: 0.0, class: 0 });
    let places = problem.start.iter().map(|(_, p)| *p).chain([place]).collect();
    problem.start = Configuration::new(places);
    problem.assign_classes();
    id
}

/// Adds a module of the first kind on the first deck.
pub(crate) fn on_deck(problem: &mut Problem, at: [f64; 2]) -> ModuleId {
    let deck = GroundId(0);
    let place = Placement::on_deck(deck, &problem.decks[0], &problem.kinds[0], DVec2::from(at), None);
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
    Slot { name: name.into(), place, kind: None, module: None, hold: None, payload_kg: 0.0 }
}
