//! Plans in and out.

use crate::support::example;
use clamber_core::Move;
use clamber_core::{Body, GroundId, Hold, ModuleId, Placement};
use clamber_core::{DQuat, DVec3};
use clamber_core::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};
use clamber_core::{read_plan, read_scenario, scenario_sha256, write_plan};

fn step(module: u16, action: Move, gap_m: Option<f64>) -> Step {
    Step {
        module: ModuleId(module),
        action,
        start_s: 0.1 + 0.2,
        duration_s: 1.0 / 3.0,
        after: vec![0, 7],
        end: Placement {
            position: DVec3::new(0.1, -1e-17, 0.06),
            orientation: DQuat::from_xyzw(0.0, 0.0, 0.6, 0.8),
            host: Body::Ground(GroundId(1)),
            hold: Hold::Braced,
        },
        utilisation: 0.41,
        gap_m,
    }
}

fn every_move() -> Plan {
    Plan {
        planner: PlannerNote { name: "by hand".into(), seed: u64::MAX, version: "0.0.0".into() },
        status: Status::BudgetSpent,
        reason: None,
        utilisation_is: UtilisationIs::Exact,
        steps: vec![
            step(0, Move::Yaw { angle_rad: -1.5 }, Some(0.003)),
            step(1, Move::Slide { travel_m: 0.12, curvature_per_m: 0.0 }, None),
            step(1, Move::Hop { to: Body::Module(ModuleId(0)) }, None),
            step(0, Move::Hop { to: Body::Ground(GroundId(1)) }, None),
            step(0, Move::Brace, None),
            step(0, Move::Release, None),
        ],
        summary: Summary {
            moves: 6,
            makespan_s: 2.4,
            energy_j: 18.24,
            travel_m: 0.12,
            utilisation: 0.41,
            gap_m: None,
            lower_bound_s: 1.9,
        },
    }
}

/// A plan file with every move.
pub(crate) fn example_plan() -> String {
    let (scene, problem) = read_scenario("scene.toml", &example()).expect("the example is sound");
    write_plan(&scene, &problem, &every_move()).expect("finite numbers")
}

#[test]
fn a_plan_comes_back_as_it_was() {
    let (scene, problem) = read_scenario("scene.toml", &example()).expect("the example is sound");
    let text = example_plan();
    let (scene_again, problem_again, plan, facts) =
        read_plan("plan.json", &text).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!((scene_again, problem_again, plan), (scene.clone(), problem, every_move()));
    assert_eq!(facts.recorded_sha256, scenario_sha256(&scene));
    assert_eq!(facts.actual_sha256, facts.recorded_sha256);
    assert!(facts.scenario_is_resolved);
}

/// The fields of the page's plan, in its order, and no more.
#[test]
fn a_plan_has_the_fields_of_the_page() {
    let text = example_plan();
    let tree: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let slide = tree["steps"][1].as_object().expect("a table");
    let mut fields: Vec<&str> = slide.keys().map(String::as_str).collect();
    fields.sort_unstable();
    let page = [
        "after",
        "curvature_per_m",
        "duration_s",
        "end",
        "module",
        "move",
        "start_s",
        "travel_m",
        "utilisation",
    ];
    assert_eq!(fields, page);
    assert_eq!(slide["move"], "slide");
    assert_eq!(tree["steps"][2]["to"], "m1");
    assert_eq!(tree["steps"][3]["to"], "sill");
    assert_eq!(tree["steps"][0]["gap_m"], 0.003);
    assert_eq!(tree["status"], "budget_spent");
    assert_eq!(tree["summary"].as_object().map(serde_json::Map::len), Some(6));
    let keys = ["format", "scenario", "scenario_sha256", "planner", "status", "steps", "summary"];
    let places: Vec<Option<usize>> = keys.iter().map(|key| text.find(&format!("\n  \"{key}\":"))).collect();
    assert!(places.is_sorted() && places[0].is_some(), "{places:?}");
}

#[test]
fn a_changed_scenario_shows_in_the_digests() {
    let changed = example_plan().replace("\"mass_kg\": 0.5,", "\"mass_kg\": 0.4,");
    let (scene, _, _, facts) = read_plan("plan.json", &changed).expect("still sound");
    assert_ne!(facts.actual_sha256, facts.recorded_sha256);
    assert_eq!(facts.actual_sha256, scenario_sha256(&scene));
    let shortened = example_plan().replacen("\"stuck\": false,", "", 1);
    let (_, _, _, facts) = read_plan("plan.json", &shortened).expect("still sound");
    assert!(!facts.scenario_is_resolved && facts.actual_sha256 != facts.recorded_sha256);
}

#[test]
fn what_is_not_finite_is_not_written() {
    let (scene, problem) = read_scenario("scene.toml", &example()).expect("the example is sound");
    let mut plan = every_move();
    plan.steps[1].end.position.y = f64::INFINITY;
    let error = write_plan(&scene, &problem, &plan).expect_err("infinite").to_string();
    assert!(error.starts_with("steps[1].end.position_m[1]: "), "{error}");
    let mut plan = every_move();
    plan.steps[2].module = ModuleId(9);
    let error = write_plan(&scene, &problem, &plan).expect_err("no such module").to_string();
    assert!(error.starts_with("steps[2].module: "), "{error}");
}
