//! Formed machines walk where no foot but the hub's can go, and the hub's not by driving.

use crate::support::{deck, fixture, plan_by, scene_of};
use clamber_core::unstable::generate::{Family, GenerateOptions, generate};
use clamber_core::unstable::search::{Options, Planner, Walking};
use clamber_core::{DVec3, Move, Problem, Status, check_plan, read_scenario};

const R: f64 = 0.060;

/// A machine of legs of two, on strips for its ends and stones for its hub, and its shape some stones on.
fn machine(azimuths: &[f64], stones: usize) -> Problem {
    let (back, below) = (0.022, 0.036);
    let (mut decks, mut modules, mut slots) = (String::new(), String::new(), String::new());
    for stone in 0..=stones {
        let x = 0.12 * stone as f64;
        decks += &deck(&format!("stone{stone}"), [x - 0.05, -0.05], [x + 0.05, 0.05], 0.0);
    }
    modules += "[[module]]\nname = \"hub\"\nkind = \"cobble\"\non = \"stone0\"\nat_m = [0, 0]\n";
    let far = 0.12 * stones as f64;
    slots += &format!("[[goal.slot]]\nname = \"shub\"\non = \"stone{stones}\"\nat_m = [{far}, 0]\n");
    for (leg, &azimuth) in azimuths.iter().enumerate() {
        let (sin, cos) = azimuth.to_radians().sin_cos();
        let level = (4.0 * R * R - below * below).sqrt();
        let knee = DVec3::new(level * cos, level * sin, below);
        let side = if sin >= -1e-9 { 1.0 } else { -1.0 };
        let end = DVec3::new(back, side * (4.0 * R * R - back * back - below * below).sqrt(), -below);
        let facing = end.cross(DVec3::Y).to_array();
        let at = knee + end;
        decks +=
            &deck(&format!("strip{leg}"), [at.x - 0.05, at.y - 0.04], [at.x + far + 0.12, at.y + 0.04], 0.0);
        let (knee, end) = (knee.to_array(), end.to_array());
        modules += &format!(
            "[[module]]\nname = \"k{leg}\"\nkind = \"cobble\"\non = \"hub\"\ntoward = {knee:?}\nhold = \"braced\"\n[[module]]\nname = \"e{leg}\"\nkind = \"cobble\"\non = \"k{leg}\"\ntoward = {end:?}\nfacing = {facing:?}\n"
        );
        slots += &format!(
            "[[goal.slot]]\nname = \"sk{leg}\"\non = \"shub\"\ntoward = {knee:?}\n[[goal.slot]]\nname = \"se{leg}\"\non = \"sk{leg}\"\ntoward = {end:?}\n"
        );
    }
    scene_of(&(decks + &modules + &slots), "").1
}

#[test]
fn machines_of_three_and_four_legs_walk_over_gaps() {
    for azimuths in [vec![180.0, 50.0, -90.0], vec![150.0, 40.0, -40.0, -140.0]] {
        let problem = machine(&azimuths, 3);
        let plan = plan_by(&Walking, &problem, &Options::default());
        assert_eq!(plan.status, Status::Solved, "{azimuths:?}");
        let report = check_plan(&problem, &plan).expect("its values make sense");
        assert!(report.is_sound(), "{azimuths:?}: {:?}", report.findings.first());
        let strides = plan.steps.iter().filter(|step| matches!(step.action, Move::Stride { .. }));
        assert!(strides.count() >= 2 && plan.summary.makespan_s >= plan.summary.lower_bound_s);
    }
}

/// Over tops of different heights, hosts have to go up and down; the plan says so.
#[test]
fn legs_are_set_anew_on_uneven_stones() {
    for (modules, seed) in [(7, 1), (7, 5)] {
        let options = GenerateOptions { modules, seed, ..GenerateOptions::default() };
        let scene = generate(Family::Walk, options).expect("a scene");
        let problem = read_scenario("walk.toml", &scene.text).expect("it makes sense").1;
        let plan = plan_by(&Walking, &problem, &Options::default());
        assert_eq!(plan.status, Status::Solved, "{modules} {seed}");
        let report = check_plan(&problem, &plan).expect("its values make sense");
        assert!(report.is_sound(), "{modules} {seed}: {:?}", report.findings.first());
        let carries = |step: &&clamber_core::Step| {
            matches!(step.action, Move::Slide { .. }) && problem.start.is_stood_on(step.module)
        };
        assert!(plan.steps.iter().filter(carries).count() >= 3);
    }
}

/// The fixtures: over cobbles, and up landings that no foot drives over.
#[test]
fn machines_walk_over_cobbles_and_up_landings() {
    for name in ["walk/cobbles", "walk/stairs"] {
        let problem = fixture(name).1;
        let plan = plan_by(&Walking, &problem, &Options::default());
        assert_eq!(plan.status, Status::Solved, "{name}");
        let report = check_plan(&problem, &plan).expect("its values make sense");
        assert!(report.is_sound(), "{name}: {:?}", report.findings.first());
    }
}

/// A scattered crew forms a machine, walks where no single module can drive, and comes apart: as one plan.
#[test]
fn a_scattered_crew_walks_and_scatters_again() {
    let problem = fixture("walk/mission").1;
    let plan = plan_by(&Walking, &problem, &Options::default());
    assert_eq!(plan.status, Status::Solved);
    let report = check_plan(&problem, &plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings.first());
    let strides = |step: &clamber_core::Step| matches!(step.action, Move::Stride { .. });
    let first = plan.steps.iter().position(strides).expect("it walks");
    let last = plan.steps.iter().rposition(strides).expect("it walks");
    let hops = |steps: &[clamber_core::Step]| {
        steps.iter().filter(|step| matches!(step.action, Move::Hop { .. })).count()
    };
    assert!(hops(&plan.steps[..first]) >= 6, "six get onto the hub or its legs");
    assert!(hops(&plan.steps[last..]) >= 6, "and off again");
    assert!(report.last.iter().all(|(_, place)| place.host.ground().is_some()));
}

/// Three ends on the hub itself: no three stand alike.
#[test]
fn a_hub_with_three_ends_says_why_it_cannot_stride() {
    let mut tables =
        deck("floor", [-0.3, -0.3], [0.3, 0.3], 0.0) + &deck("far", [0.32, -0.3], [0.9, 0.3], 0.0);
    tables += "[[module]]\nname = \"hub\"\nkind = \"cobble\"\non = \"floor\"\nat_m = [0, 0]\n";
    tables += "[[goal.slot]]\nname = \"shub\"\non = \"far\"\nat_m = [0.6, 0]\n";
    for (leg, way) in ["[1, 0, 0]", "[-0.5, 0.8, 0]", "[-0.5, -0.8, 0]"].into_iter().enumerate() {
        tables +=
            &format!("[[module]]\nname = \"e{leg}\"\nkind = \"cobble\"\non = \"hub\"\ntoward = {way}\n");
        tables += &format!("[[goal.slot]]\nname = \"se{leg}\"\non = \"shub\"\ntoward = {way}\n");
    }
    let problem = scene_of(&tables, "").1;
    let options = Options::default();
    let budget = clamber_core::unstable::control::Budget::unlimited();
    let outcome = Walking
        .plan(&problem, &options, &budget, &clamber_core::unstable::search::NoObserver)
        .expect("a sound start");
    assert_ne!(outcome.status, Status::Solved);
    let note = outcome.note.expect("a reason");
    assert!(note.contains("0 legs") && note.contains("3 bare modules"), "{note}");
}
