//! Crews with failed parts: who goes instead, and who goes another way.

use crate::support::{assert_near, deck, module, scene_of, slot_on};
use clamber_core::{Control, Move, Problem, SolveOptions, Status, Step, check_plan, solve};

const FLOOR: [[f64; 2]; 2] = [[-1.0, -1.0], [1.0, 1.0]];

/// A steel floor, modules and a goal.
fn scene(tables: &str) -> Problem {
    let [low, high] = FLOOR;
    let floor = deck("floor", low, high, 0.0) + "ferrous = true\nsealable = true\n";
    scene_of(&(floor + tables), "").1
}

fn steps(problem: &Problem) -> Vec<Step> {
    let found = solve(problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
    assert_eq!(found.status, Status::Solved, "{:?}", found.report);
    let report = check_plan(problem, &found.plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
    found.plan.steps
}

/// The slot is right before the one without a drive; the other one, far off, fills it.
#[test]
fn whoever_can_drive_goes() {
    let crew =
        module("m1", "floor", [0.0, 0.0], "lost = [\"drive\"]") + &module("m2", "floor", [-0.8, 0.3], "");
    let steps = steps(&scene(&(crew + &slot_on("s1", "floor", [0.2, 0.0], ""))));
    assert!(steps.iter().all(|step| step.module.index() == 1), "{steps:?}");
}

/// Straight ahead it drives at once; aside, only the other one gets there, though it is further away.
#[test]
fn without_a_yaw_it_drives_straight_on() {
    let crew = module("m1", "floor", [0.0, 0.0], "lost = [\"yaw\"]");
    let ahead = steps(&scene(&(crew.clone() + &slot_on("s1", "floor", [-0.4, 0.0], ""))));
    let [Step { action: Move::Slide { travel_m, curvature_per_m: 0.0 }, .. }] = ahead[..] else {
        panic!("{ahead:?}")
    };
    assert_near(travel_m, -0.4, 1e-9);
    let aside = slot_on("s1", "floor", [0.1, 0.2], "");
    let other = module("m2", "floor", [-0.8, -0.3], "");
    let steps = steps(&scene(&(crew + &other + &aside)));
    assert!(steps.iter().all(|step| step.module.index() == 1), "{steps:?}");
}

/// A slot that asks for a braced module: the one whose cup is lost leaves it to the other.
#[test]
fn without_a_cup_it_never_braces() {
    let crew =
        module("m1", "floor", [0.0, -0.3], "lost = [\"cup\"]") + &module("m2", "floor", [-0.8, 0.3], "");
    let place = |hold: &str| slot_on("s1", "floor", [0.2, 0.0], hold);
    let braced = steps(&scene(&(crew.clone() + &place("hold = \"braced\""))));
    assert!(braced.iter().all(|step| step.module.index() == 1), "{braced:?}");
    assert!(braced.iter().any(|step| step.action == Move::Brace));
    let rolling = steps(&scene(&(crew + &place(""))));
    assert!(rolling.iter().all(|step| step.module.index() == 0 && step.action != Move::Brace), "{rolling:?}");
}

/// Braced from the start with a lost cup, it has to release before anything else.
#[test]
fn first_it_releases() {
    let crew = module("m1", "floor", [0.0, 0.0], "hold = \"braced\"\nlost = [\"cup\"]");
    let steps = steps(&scene(&(crew + &slot_on("s1", "floor", [0.3, 0.2], "hold = \"rolling\""))));
    let first = steps.iter().min_by(|a, b| a.start_s.total_cmp(&b.start_s)).expect("it moves");
    assert_eq!(first.action, Move::Release);
}
