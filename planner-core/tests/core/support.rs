//! Scenes for these tests: the fixtures, and crews put together module by module.

use clamber_core::Interrupt;
use clamber_core::unstable::check::check_and_fill_in;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::geometry::Prism;
use clamber_core::unstable::schedule::{Heading, moves_of_trips, one_by_one};
use clamber_core::unstable::travel::Trip;
use clamber_core::{
    Configuration, Deck, DeckId, Goal, Hold, Kind, KindId, Module, ModuleId, Placement, Problem,
};
use clamber_core::{DVec2, DVec3};
use clamber_core::{Plan, PlannerNote, Status};
use clamber_core::{Scenario, read_scenario};

/// Five of the scenes of the repository, soon planned.
pub(crate) const FIXTURES: [(&str, &str); 5] = [
    ("pair", include_str!("../../../fixtures/pair.toml")),
    ("row", include_str!("../../../fixtures/row.toml")),
    ("column", include_str!("../../../fixtures/column.toml")),
    ("regroup", include_str!("../../../fixtures/regroup.toml")),
    ("stand", include_str!("../../../fixtures/stand.toml")),
];

/// A fixture by name.
pub(crate) fn fixture(name: &str) -> (Scenario, Problem) {
    let (_, text) = FIXTURES.into_iter().find(|(known, _)| *known == name).expect("a fixture");
    read_scenario(name, text).expect("fixtures are sound")
}

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
    let deck = DeckId(0);
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

/// Asserts that two numbers agree within an absolute tolerance.
#[track_caller]
pub(crate) fn assert_near(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "found {found}, expected {expected} within {tolerance:e}");
}

/// What a test's plan says besides its steps.
pub(crate) fn heading(status: Status, lower_bound_s: f64) -> Heading {
    Heading { planner: PlannerNote::new("test", 1), status, lower_bound_s }
}

/// Trips one move after the other, with the figures of the check; the plan need not be sound.
pub(crate) fn timed_one_by_one(
    problem: &Problem,
    trips: &[Trip],
    heading: &Heading,
    budget: &Budget<'_>,
) -> Plan {
    let moves = moves_of_trips(problem, trips).expect("trips can be made");
    with_figures(problem, one_by_one(problem, &moves, heading, budget.interrupt).expect("trips can be timed"))
}

/// A timed plan with the figures of the check.
pub(crate) fn with_figures(problem: &Problem, mut plan: Plan) -> Plan {
    check_and_fill_in(problem, &mut plan, Interrupt::NEVER).expect("it is not given up");
    plan
}
