//! Scenes on rough ground, planned and checked as they are, turned, and in other sizes.

use clamber_core::{
    Control, Plan, PlannerNote, Problem, Rule, SolveOptions, Status, Summary, UtilisationIs, check_plan,
    read_scenario, solve,
};

/// The text of a scene on rough ground.
fn text(name: &str) -> String {
    crate::support::text(&format!("rough/{name}"))
}

fn is_solved(name: &str, problem: &Problem) -> bool {
    let quick = SolveOptions { patience: 4, ..SolveOptions::default() };
    let solution = solve(problem, &quick, &Control::unlimited()).expect(name);
    if solution.status != Status::Solved {
        return false;
    }
    let report = check_plan(problem, &solution.plan).expect(name);
    assert!(report.is_sound(), "{name}: {:?}", report.findings);
    true
}

/// A scene turned about the vertical: its outlines, places and directions.
fn turned(text: &str, angle_rad: f64) -> String {
    let mut scene: toml::Table = toml::from_str(text).expect("a scene");
    turn(&mut scene, angle_rad);
    toml::to_string(&scene).expect("a table")
}

fn turn(table: &mut toml::Table, angle_rad: f64) {
    let (sin, cos) = angle_rad.sin_cos();
    let number = |value: &toml::Value| {
        value.as_float().or_else(|| value.as_integer().map(|n| n as f64)).expect("a number")
    };
    let point = |value: &mut toml::Value| {
        let numbers = value.as_array_mut().expect("a point");
        let [x, y] = [number(&numbers[0]), number(&numbers[1])];
        numbers[0] = (x * cos - y * sin).into();
        numbers[1] = (x * sin + y * cos).into();
    };
    for (key, value) in table.iter_mut() {
        match (key.as_str(), value) {
            ("at_m" | "toward" | "heading", value) => point(value),
            ("outline_m", toml::Value::Array(corners)) => corners.iter_mut().for_each(point),
            (_, toml::Value::Table(inner)) => turn(inner, angle_rad),
            (_, toml::Value::Array(all)) => {
                all.iter_mut().filter_map(toml::Value::as_table_mut).for_each(|inner| turn(inner, angle_rad));
            }
            _ => {}
        }
    }
}

#[test]
fn scenes_on_rough_ground_are_solved_in_every_heading() {
    for name in ["ramp", "kerbs"] {
        for angle_rad in [0.0, 0.3, 1.9, 4.4] {
            let (_, problem) = read_scenario(name, &turned(&text(name), angle_rad)).expect("a sound scene");
            assert!(is_solved(name, &problem), "{name} turned by {angle_rad}");
        }
    }
}

/// On terrain that modules drive over a shape is built module by module, as on one deck: one search for a trip for each, and no search over
/// configurations.
#[test]
fn a_shape_spread_over_facets_needs_no_search() {
    for angle_rad in [0.0, 2.3] {
        let (_, problem) = read_scenario("lane", &turned(&text("lane"), angle_rad)).expect("a sound scene");
        let first = SolveOptions { patience: 0, shortening: 0, ..SolveOptions::default() };
        let solution = solve(&problem, &first, &Control::unlimited()).expect("it makes sense");
        assert_eq!(solution.status, Status::Solved);
        assert_eq!(solution.statistics.generated, 0, "trips of whole configurations were looked for");
        let report = check_plan(&problem, &solution.plan).expect("its values make sense");
        assert!(report.is_sound(), "{:?}", report.findings);
    }
}

/// On friction µ a lone module slips from `atan(0.93 µ)` on, less the sway: here from 30.064° (section 5 of the model page, closed form).
#[test]
fn nobody_stands_where_it_slips() {
    for (degrees, slips) in [(30.0_f64, false), (30.06, false), (30.07, true), (31.0, true)] {
        let rise = format!("{:.9}", 2.0 * degrees.to_radians().tan());
        let (_, problem) =
            read_scenario("ramp", &text("ramp").replace("0.352654", &rise)).expect("a sound scene");
        let plan = Plan {
            planner: PlannerNote::new("by-hand", 1),
            status: Status::BudgetSpent,
            reason: None,
            utilisation_is: UtilisationIs::Exact,
            steps: Vec::new(),
            summary: Summary::default(),
        };
        let report = check_plan(&problem, &plan).expect("its values make sense");
        let found = report.findings.iter().any(|finding| finding.rule == Rule::Load);
        assert_eq!(found, slips, "{degrees}: {:?}", report.findings);
    }
}
