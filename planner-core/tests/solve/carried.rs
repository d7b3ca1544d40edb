//! Modules that drive with others standing on them, in scenes written from scratch.

use crate::support::{deck, module, scene_of, slot_on};
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::search::{AStar, NoObserver, Options, Planner};
use clamber_core::{Control, Move, Problem, SolveOptions, Status, check_plan, solve};

/// A module and what it carries: `riders` are names and directions, `slots` the place of the first.
fn scene(
    floor: &str,
    riders: &[(&str, &str, &str)],
    at: [f64; 2],
    to: [f64; 2],
    turned: &[&str],
    more: &str,
) -> Problem {
    let mut text = floor.to_owned() + &module("root", "floor", at, "") + more;
    for (name, on, toward) in riders {
        text += &format!(
            "[[module]]\nname = \"{name}\"\nkind = \"cobble\"\non = \"{on}\"\ntoward = {toward}\nstuck = true\n"
        );
    }
    text += &slot_on("slot-root", "floor", to, "");
    for ((name, on, _), toward) in riders.iter().zip(turned) {
        text += &format!("[[goal.slot]]\nname = \"slot-{name}\"\non = \"slot-{on}\"\ntoward = {toward}\n");
    }
    scene_of(&text, "").1
}

fn floor() -> String {
    deck("floor", [-1.0, -1.0], [1.5, 1.0], 0.3)
}

/// The moves of a plan that has passed the check.
fn moves(problem: &Problem) -> Vec<Move> {
    let found = solve(problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
    assert_eq!(found.status, Status::Solved, "{:?}", found.reason(problem));
    let report = check_plan(problem, &found.plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
    let mut steps = found.plan.steps;
    steps.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
    steps.into_iter().map(|step| step.action).collect()
}

/// By hand: a yaw of atan2(0.3, 0.4) = 36.87° and a slide of 0.5 m.
#[test]
fn a_stuck_peer_is_driven_there_in_two_moves() {
    let problem =
        scene(&floor(), &[("peer", "root", "[0, 0, 1]")], [0.1, 0.1], [0.5, 0.4], &["[0, 0, 1]"], "");
    let found =
        AStar.plan(&problem, &Options::default(), &Budget::unlimited(), &NoObserver).expect("it makes sense");
    assert_eq!((found.status, found.trips.len()), (Status::Solved, 1));
    let [Move::Yaw { angle_rad }, Move::Slide { travel_m, .. }] = moves(&problem)[..] else {
        panic!("two moves")
    };
    assert!((angle_rad - 0.3_f64.atan2(0.4)).abs() < 1e-9 && (travel_m - 0.5).abs() < 1e-9);
}

/// Both riders have to come to their slots, a quarter turn further: the last move is that turn.
#[test]
fn what_is_carried_is_turned_into_its_slots() {
    let riders = [("east", "root", "[0.7, 0, 0.7]"), ("west", "root", "[-0.7, 0, 0.7]")];
    let problem = scene(&floor(), &riders, [0.1, 0.1], [0.9, 0.1], &["[0, 0.7, 0.7]", "[0, -0.7, 0.7]"], "");
    let moves = moves(&problem);
    let Some(Move::Yaw { angle_rad }) = moves.last() else { panic!("{moves:?}") };
    assert!((angle_rad.abs() - std::f64::consts::FRAC_PI_2).abs() < 1e-9 && moves.len() == 2, "{moves:?}");
}

/// A module that never moves stands half-way: the pair goes round it, and the way is longer than the straight one.
#[test]
fn they_drive_round_what_is_in_the_way() {
    let rock = module("rock", "floor", [0.5, 0.1], "stuck = true");
    let problem =
        scene(&floor(), &[("peer", "root", "[0, 0, 1]")], [0.1, 0.1], [0.9, 0.1], &["[0, 0, 1]"], &rock);
    let way: f64 = moves(&problem)
        .iter()
        .map(|action| if let Move::Slide { travel_m, .. } = action { travel_m.abs() } else { 0.0 })
        .sum();
    // Tangents of a circle of two radii around the rock, and the arc between: 0.8202 m for spheres of 60 mm.
    let (half, keep) = (0.4_f64, 0.12_f64);
    let shortest =
        2.0 * (half * half - keep * keep).sqrt() + keep * (std::f64::consts::PI - 2.0 * (keep / half).acos());
    assert!(way >= shortest - 1e-6 && way < shortest + 0.01, "{way} m, at least {shortest} m");
}

/// Two parties that stay together exchange their places: one has to step aside, where neither has a place of the goal. By hand: six moves.
#[test]
fn two_parties_exchange_their_places() {
    for (from, to) in [([-0.4, 0.05], [0.4, -0.1]), ([0.1, -0.5], [0.3, 0.6])] {
        let mut text = floor();
        for (name, at) in [("a", from), ("b", to)] {
            text += &module(name, "floor", at, "");
            text += &format!(
                "[[module]]\nname = \"on-{name}\"\nkind = \"cobble\"\non = \"{name}\"\ntoward = [0, 0, 1]\nstuck = true\n"
            );
        }
        for (name, at, other) in [("a", from, "b"), ("b", to, "a")] {
            text += &slot_on(&format!("slot-{name}"), "floor", at, "");
            text += &format!(
                "[[goal.slot]]\nname = \"top-{name}\"\non = \"slot-{name}\"\ntoward = [0, 0, 1]\nmodule = \"on-{other}\"\n"
            );
        }
        let problem = scene_of(&text, "").1;
        let moves = moves(&problem);
        assert!(moves.len() <= 12, "{moves:?}");
    }
}

/// A module that cannot turn faces along x. Its carrier turns it towards its slot; then it drives down, hops off and drives there.
#[test]
fn a_module_that_cannot_turn_is_aimed_by_its_carrier() {
    // Magnets hold the post while the other one climbs down its side.
    let steel = floor().replace("friction = 0.7", "friction = 0.7\nferrous = true");
    for to in [[0.2, 0.7], [-0.5, 0.3]] {
        let mut text = steel.clone() + &module("post", "floor", [0.1, 0.0], "");
        text += "[[module]]\nname = \"straight\"\nkind = \"cobble\"\non = \"post\"\ntoward = [0, 0, 1]\nfacing = [1, 0, 0]\nlost = [\"yaw\"]\n";
        text += &slot_on("goal", "floor", to, "module = \"straight\"");
        let moves = moves(&scene_of(&text, "").1);
        assert!(moves.len() <= 6, "{moves:?}");
    }
}
