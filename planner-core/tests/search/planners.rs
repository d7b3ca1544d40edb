//! Planners against brute force, bounds against plans, proofs of impossibility against a look at the scene.

use crate::brute_force::least_time_s;
use crate::support::{
    FIXTURES, IMPOSSIBLE, add, assert_near, block, cobble, empty, fixture, lay_anew, on_deck, on_shell,
    plan_by, planned, slot, soon_planned, steel,
};
use clamber_core::Move;
use clamber_core::Status;
use clamber_core::check_plan;
use clamber_core::unstable::control::Budget;
use clamber_core::unstable::motion::duration_s;
use clamber_core::unstable::search::{
    AStar, NoObserver, Options, Planner, TakingApart, impossible_goal, makespan_lower_bound_s,
};
use clamber_core::unstable::travel::Trip;
use clamber_core::{DVec2, DVec3};
use clamber_core::{
    Gather, Goal, GroundId, Hold, Kind, KindId, ModuleId, Placement, Problem, SlotId, SlotPlace,
};
use clamber_core::{Impossible, InputError};

pub(crate) fn on_floor(x: f64, y: f64) -> SlotPlace {
    SlotPlace::OnGround(GroundId(0), DVec2::new(x, y))
}

/// Modules of the demo kind on a steel floor, and slots to fill.
pub(crate) fn scene(crew: &[[f64; 2]], slots: &[SlotPlace]) -> Problem {
    let mut problem = empty(vec![cobble()], vec![steel(0.5)]);
    for &at in crew {
        on_deck(&mut problem, at);
    }
    let slots = slots.iter().enumerate().map(|(k, &place)| slot(&format!("s{k}"), place)).collect();
    problem.goal = Goal { slots, gather: None };
    problem.assign_classes();
    problem
}

/// Time of trips one after the other by the moves they are made of, braces aside.
pub(crate) fn trips_s(problem: &Problem, trips: &[Trip]) -> f64 {
    let mut now = problem.start.clone();
    let mut total = 0.0;
    for trip in trips {
        now.get_mut(trip.module).hold = Hold::Rolling;
        for (action, after) in trip.moves(problem, &now).expect("trips can be made") {
            assert!(!matches!(action, Move::Brace | Move::Release));
            total += duration_s(problem, trip.module, Hold::Rolling, &action);
            now = after;
        }
    }
    total
}

fn small_scenes() -> Vec<(&'static str, Problem)> {
    let up = SlotPlace::OnSlot(SlotId(0), DVec3::Z);
    let side = SlotPlace::OnSlot(SlotId(0), DVec3::new(0.8, 0.0, 0.6));
    let mut turned = scene(&[[0.0, 0.0], [0.3, 0.0]], &[on_floor(0.0, 0.0), up]);
    turned.start.get_mut(ModuleId(1)).orientation *= clamber_core::DQuat::from_rotation_z(1.2);
    let mut stacked = scene(&[[0.0, 0.0]], &[on_floor(0.0, 0.0), on_floor(0.2, 0.1)]);
    on_shell(&mut stacked, ModuleId(0), DVec3::Z);
    stacked.assign_classes();
    vec![
        ("one drives", scene(&[[0.0, 0.0], [0.4, 0.1]], &[on_floor(0.1, -0.3)])),
        ("round a bystander", scene(&[[-0.3, 0.0], [0.0, 0.0]], &[on_floor(0.3, 0.0), on_floor(0.0, 0.0)])),
        ("two drive", scene(&[[0.0, 0.0], [0.4, 0.1]], &[on_floor(0.1, -0.3), on_floor(-0.2, 0.2)])),
        ("one climbs", turned),
        ("one climbs to the side", scene(&[[0.0, 0.0], [0.3, 0.05]], &[on_floor(0.0, 0.0), side])),
        ("one comes down", stacked),
        ("one of two climbs", scene(&[[0.0, 0.0], [0.4, 0.1], [-0.3, 0.2]], &[on_floor(0.0, 0.0), up])),
    ]
}

#[test]
fn astar_finds_what_brute_force_finds() {
    for (name, problem) in small_scenes() {
        let options = Options { weight: Some(1.0), ..Options::default() };
        let outcome =
            AStar.plan(&problem, &options, &Budget::unlimited(), &NoObserver).expect("it makes sense");
        assert_eq!(outcome.status, Status::Solved, "{name}");
        let (found, expected) = (trips_s(&problem, &outcome.trips), least_time_s(&problem));
        assert!((found - expected).abs() < 1e-5, "{name}: {found} s by A*, {expected} s by brute force");
        let bound = makespan_lower_bound_s(&problem);
        assert!(bound <= expected + 1e-9 && bound > 0.0, "{name}: bound {bound}, shortest {expected}");
    }
}

#[test]
fn greed_is_sound_and_never_better() {
    for (name, problem) in small_scenes() {
        let options = Options { weight: Some(1.0), ..Options::default() };
        let shortest =
            AStar.plan(&problem, &options, &Budget::unlimited(), &NoObserver).expect("it makes sense");
        for greed in [2.0, 5.0, 50.0] {
            let options = Options { weight: Some(greed), ..Options::default() };
            let outcome =
                AStar.plan(&problem, &options, &Budget::unlimited(), &NoObserver).expect("it makes sense");
            assert!(
                trips_s(&problem, &outcome.trips) >= trips_s(&problem, &shortest.trips) - 1e-6,
                "{name} {greed}"
            );
            assert!(
                check_plan(&problem, &plan_by(&AStar, &problem, &options))
                    .expect("its values make sense")
                    .is_sound(),
                "{name}, greed {greed}"
            );
        }
    }
}

#[test]
fn plans_are_sound_and_bounds_hold() {
    for name in soon_planned() {
        let (problem, plan) = planned(name);
        let report = check_plan(problem, plan).expect("its values make sense");
        assert!(report.is_sound(), "{name}: {:?}", report.findings);
        assert_bounds(name, problem, plan.summary.makespan_s, plan.summary.lower_bound_s);
    }
}

#[test]
fn taking_apart_is_sound() {
    for name in ["pair", "row", "regroup"] {
        let (_, problem) = fixture(name);
        let plan = plan_by(&TakingApart, &problem, &Options::default());
        let report = check_plan(&problem, &plan).expect("its values make sense");
        assert!(report.is_sound(), "{name}: {:?}", report.findings);
        assert_bounds(name, &problem, plan.summary.makespan_s, plan.summary.lower_bound_s);
    }
}

fn assert_bounds(name: &str, problem: &Problem, makespan_s: f64, claimed_s: f64) {
    let bound = makespan_lower_bound_s(problem);
    assert!(bound > 0.0 && bound <= makespan_s, "{name}: bound {bound} s, makespan {makespan_s} s");
    assert_near(claimed_s, bound, 1e-12);
}

/// The goal is met at once: nothing to do, and a bound of nothing.
#[test]
fn nothing_to_do() {
    let problem = scene(&[[0.0, 0.0], [0.4, 0.1]], &[on_floor(0.4, 0.1)]);
    for planner in [&AStar as &dyn Planner, &TakingApart] {
        let plan = plan_by(planner, &problem, &Options::default());
        assert!(plan.steps.is_empty(), "{}", planner.name());
        assert!(check_plan(&problem, &plan).expect("its values make sense").is_sound());
    }
    assert_near(makespan_lower_bound_s(&problem), 0.0, 0.0);
}

#[test]
fn senseless_questions_are_errors() {
    let ask = |problem: &Problem, greed| {
        let options = Options { weight: Some(greed), ..Options::default() };
        AStar.plan(problem, &options, &Budget::unlimited(), &NoObserver).expect_err("it makes no sense")
    };
    let good = scene(&[[0.0, 0.0]], &[on_floor(0.4, 0.1)]);
    assert_eq!(ask(&good, 0.5), InputError::Weight(0.5));
    assert!(matches!(ask(&good, f64::NAN), InputError::Weight(_)));
    assert_eq!(ask(&scene(&[[0.0, 0.0]], &[]), 1.0), InputError::NoGoal);
    let overlapping = scene(&[[0.0, 0.0], [0.1, 0.0]], &[on_floor(0.4, 0.1)]);
    assert!(matches!(ask(&overlapping, 1.0), InputError::UnsoundStart(_)));
}

/// The proof, and that both planners give it with no trips.
fn proof(problem: &Problem) -> Option<Impossible> {
    let proof = impossible_goal(problem)?;
    for planner in [&AStar as &dyn Planner, &TakingApart] {
        let outcome = planner
            .plan(problem, &Options::default(), &Budget::unlimited(), &NoObserver)
            .expect("it makes sense");
        assert_eq!(outcome.status, Status::ProvedImpossible);
        assert!(outcome.trips.is_empty() && outcome.proof.as_ref() == Some(&proof));
    }
    Some(proof)
}

#[test]
fn too_few_to_gather() {
    let mut problem = scene(&[[0.0, 0.0], [0.4, 0.1]], &[]);
    problem.goal.gather = Some(Gather { ground: GroundId(0), within: None, count: 3 });
    assert_eq!(proof(&problem), Some(Impossible::TooFewToGather { crew: 2, asked: 3 }));
    problem.goal.gather = Some(Gather { ground: GroundId(0), within: None, count: 2 });
    assert_eq!(proof(&problem), None);
}

#[test]
fn no_assignment() {
    let slots = [on_floor(0.4, 0.1), on_floor(-0.4, 0.1)];
    assert_eq!(proof(&scene(&[[0.0, 0.0]], &slots)), Some(Impossible::NoAssignment), "one module, two slots");
    let mut problem = scene(&[[0.0, 0.0], [0.2, 0.0]], &slots);
    assert_eq!(proof(&problem), None);
    for slot in &mut problem.goal.slots {
        slot.module = Some(ModuleId(1));
    }
    problem.assign_classes();
    assert_eq!(proof(&problem), Some(Impossible::NoAssignment), "both slots for one module");
    // Kinds: one of the second kind, two slots that ask for it.
    let mut problem = scene(&[[0.0, 0.0]], &slots);
    problem.kinds.push(Kind { mass_kg: 0.4, ..cobble() });
    let at = DVec2::new(0.2, 0.0);
    let place = Placement::on_ground(GroundId(0), problem.ground(GroundId(0)), &problem.kinds[1], at, None)
        .expect("on deck");
    add(&mut problem, KindId(1), place);
    problem.goal.slots[0].kind = Some(KindId(1));
    assert_eq!(proof(&problem), None);
    problem.goal.slots[1].kind = Some(KindId(1));
    assert_eq!(proof(&problem), Some(Impossible::NoAssignment));
}

#[test]
fn slots_that_overlap() {
    // Each module may be 1 mm off its slot: 118 mm apart can do for two shells of 60 mm, 117 mm cannot.
    let crew = [[0.0, 0.3], [0.4, 0.3]];
    let problem = scene(&crew, &[on_floor(0.0, 0.0), on_floor(0.117, 0.0)]);
    let Some(Impossible::SlotsOverlap { a, b, apart_m, needed_m }) = proof(&problem) else {
        panic!("they overlap")
    };
    assert_eq!((a, b), (SlotId(0), SlotId(1)));
    assert_near(apart_m, 0.117, 1e-12);
    assert_near(needed_m, 0.12, 1e-12);
    assert_eq!(impossible_goal(&scene(&crew, &[on_floor(0.0, 0.0), on_floor(0.118_001, 0.0)])), None);
}

#[test]
fn a_slot_in_a_wall() {
    let with_wall = |x: f64| {
        let mut problem = scene(&[[0.0, 0.3]], &[on_floor(x, 0.0)]);
        lay_anew(&mut problem, |decks| decks.push(block("wall", [0.5, -1.0], [0.6, 1.0], 0.0, 0.3, 0.5)));
        problem
    };
    // The shell's centre is 60 mm from the wall at x = 0.44.
    assert_eq!(proof(&with_wall(0.45)), Some(Impossible::SlotInSolid { slot: SlotId(0), deck: GroundId(1) }));
    assert_eq!(impossible_goal(&with_wall(0.44)), None);
}

#[test]
fn a_slot_over_the_edge() {
    // The floor ends at x = 2 and the foot's radius is 40 mm.
    assert_eq!(
        proof(&scene(&[[0.0, 0.0]], &[on_floor(1.97, 0.0)])),
        Some(Impossible::SlotOverEdge { slot: SlotId(0) })
    );
    assert_eq!(impossible_goal(&scene(&[[0.0, 0.0]], &[on_floor(1.96, 0.0)])), None);
}

#[test]
fn a_stuck_module_asked_for_elsewhere() {
    let mut problem = scene(&[[0.0, 0.0], [0.3, 0.0]], &[on_floor(0.4, 0.4)]);
    problem.modules[0].stuck = true;
    problem.goal.slots[0].module = Some(ModuleId(0));
    problem.assign_classes();
    assert_eq!(proof(&problem), Some(Impossible::StuckElsewhere { slot: SlotId(0), module: ModuleId(0) }));
    let mut carried = problem.clone();
    on_shell(&mut carried, ModuleId(1), DVec3::Z);
    carried.modules.swap(0, 2);
    carried.goal.slots[0].module = Some(ModuleId(2));
    carried.modules[2].stuck = true;
    carried.assign_classes();
    let found = Some(Impossible::KeepTheirHosts { frozen: 2 });
    assert_eq!(
        proof(&carried),
        found,
        "one that stands on another never comes down, nor is left by its host"
    );
    carried.goal.slots[0].module = Some(ModuleId(1));
    assert_eq!(impossible_goal(&carried), None, "its host may drive there with it");
    let mut there = problem.clone();
    there.goal.slots[0].place = on_floor(0.0, 0.0);
    assert_eq!(impossible_goal(&there), None);
}

#[test]
fn only_two_fixtures_are_impossible() {
    for name in FIXTURES {
        assert_eq!(impossible_goal(&fixture(name).1).is_some(), IMPOSSIBLE.contains(&name), "{name}");
    }
}
