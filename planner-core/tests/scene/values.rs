//! Problems and plans made in code are input too: what makes no sense is refused in words, and nothing panics.

use crate::support::{FIXTURES, fixed, fixture, planned, solved};
use clamber_core::{
    Body, Configuration, Control, DQuat, DVec2, DVec3, DeckId, Diagnostics, GroundId, InputError, Interrupt,
    KindId, ModuleId, Move, Plan, Problem, Scenario, Signal, SlotId, SlotPlace, SolveOptions, Status,
    Unanswered, WriteError, assess_start, check_plan, margins, solve, survey, write_plan,
};
use proptest::prelude::*;
use serde_json::Value;

pub(crate) type Break = (&'static str, fn(&mut Problem));
/// A field and a way to set it.
pub(crate) type Set<T> = (&'static str, fn(&mut T, f64));
pub(crate) type BreakPlan = (&'static str, fn(&mut Plan));

/// One value wrong in each, and what the fault must name.
pub(crate) const BROKEN: [Break; 38] = [
    ("module m1: start.position: NaN", |p| p.start.get_mut(ModuleId(0)).position.x = f64::NAN),
    ("module m1: start.position: inf", |p| p.start.get_mut(ModuleId(0)).position.z = f64::INFINITY),
    ("module m1: start.orientation: a quaternion of length 2", |p| {
        p.start.get_mut(ModuleId(0)).orientation = DQuat::from_xyzw(0.0, 0.0, 0.0, 2.0);
    }),
    ("module m1: start.orientation: a quaternion of length 0", |p| {
        p.start.get_mut(ModuleId(0)).orientation = DQuat::from_xyzw(0.0, 0.0, 0.0, 0.0);
    }),
    ("module m2: start.host: ground 9", |p| p.start.get_mut(ModuleId(1)).host = Body::Ground(GroundId(9))),
    ("module m2: start.host: module 9", |p| p.start.get_mut(ModuleId(1)).host = Body::Module(ModuleId(9))),
    ("module m2: start.host: itself", |p| p.start.get_mut(ModuleId(1)).host = Body::Module(ModuleId(1))),
    ("start: host: a ring", |p| {
        p.start.get_mut(ModuleId(0)).host = Body::Module(ModuleId(1));
        p.start.get_mut(ModuleId(1)).host = Body::Module(ModuleId(0));
    }),
    ("start: len: 0 placements", |p| p.start = Configuration::default()),
    ("module m1: kind: kind 7", |p| p.modules[0].kind = KindId(7)),
    ("module m1: payload_kg: -1", |p| p.modules[0].payload_kg = -1.0),
    ("class: 5", |p| p.modules[1].class = 5),
    ("problem: decks and modules: the name \"m1\" twice", |p| p.modules[1].name = "m1".into()),
    ("name: \"\"", |p| p.modules[1].name = String::new()),
    ("problem: modules: 0", |p| {
        p.modules.clear();
        p.start = Configuration::default();
    }),
    ("problem: kinds: 0", |p| p.kinds.clear()),
    ("problem: decks: 0", |p| p.decks.clear()),
    ("kind cobble: slide_speed_mps: 0", |p| p.kinds[0].slide_speed_mps = 0.0),
    ("kind cobble: mass_kg: -0.5", |p| p.kinds[0].mass_kg = -0.5),
    ("kind cobble: shell_reach_rad: 4", |p| p.kinds[0].shell_reach_rad = 4.0),
    ("kind cobble: ride_height_m: 0.05", |p| p.kinds[0].ride_height_m = 0.05),
    ("kind cobble: peel_radius_m: 0.05", |p| p.kinds[0].peel_radius_m = 0.05),
    ("kind cobble: com_height_m: 1", |p| p.kinds[0].com_height_m = 1.0),
    ("limits: hold_factor: 0", |p| p.limits.hold_factor = 0.0),
    ("limits: recover_factor: 9", |p| p.limits.recover_factor = Some(9.0)),
    ("limits: sway_rad: NaN", |p| p.limits.sway_rad = f64::NAN),
    ("site: gravity_mps2: -9.8", |p| p.site.gravity_mps2 = -9.8),
    ("ground: ground 5", |p| p.decks[0].ground = GroundId(5)),
    ("solid.top: NaN", |p| p.decks[0].solid.top.origin.z = f64::NAN),
    ("solid.outline: 2 corners", |p| p.decks[0].solid.outline.truncate(2)),
    ("solid.outline: a polygon that runs clockwise", |p| p.decks[0].solid.outline.reverse()),
    ("problem: grounds: another list than the decks form", |p| p.decks[0].solid.outline[0].x -= 1.0),
    ("surfacing.friction: -1", |p| p.grounds[0].surfacing.friction = -1.0),
    ("place: slot 4", |p| p.goal.slots[0].place = SlotPlace::OnSlot(SlotId(4), DVec3::Z)),
    ("place: NaN", |p| {
        p.goal.slots[0].place = SlotPlace::OnGround(GroundId(0), DVec2::new(f64::NAN, 0.0));
    }),
    ("module: module 8", |p| p.goal.slots[0].module = Some(ModuleId(8))),
    ("kind: kind 8", |p| p.goal.slots[0].kind = Some(KindId(8))),
    ("gather.within: deck 9", |p| {
        let ground = GroundId(0);
        p.goal.gather = Some(clamber_core::Gather { ground, within: Some(DeckId(9)), count: 1 });
    }),
];

pub(crate) const BROKEN_PLANS: [BreakPlan; 7] = [
    ("step 0: module: module 77", |p| p.steps[0].module = ModuleId(77)),
    ("step 0: to: module 77", |p| p.steps[0].action = Move::Hop { to: Body::Module(ModuleId(77)) }),
    ("step 0: to: ground 77", |p| p.steps[0].action = Move::Hop { to: Body::Ground(GroundId(77)) }),
    ("step 0: end.host: ground 77", |p| p.steps[0].end.host = Body::Ground(GroundId(77))),
    ("step 0: end.position: NaN", |p| p.steps[0].end.position.y = f64::NAN),
    ("step 0: angle_rad: NaN", |p| p.steps[0].action = Move::Yaw { angle_rad: f64::NAN }),
    ("step 0: travel_m: inf", |p| {
        p.steps[0].action = Move::Slide { travel_m: f64::INFINITY, curvature_per_m: 0.0 };
    }),
];

/// `pair`: two modules on a deck.
fn pair() -> Problem {
    fixture("pair").1
}

fn at_once() -> Signal {
    Signal::Finish
}

#[test]
fn each_broken_value_is_named() {
    for (words, change) in BROKEN {
        let mut problem = pair();
        change(&mut problem);
        let told = problem.validate().expect_err(words).to_string();
        assert!(told.contains(words), "{words}: {told}");
        assert!(matches!(assess_start(&problem), Err(found) if found.to_string() == told), "{words}");
        let plan = &planned("pair").1;
        assert!(matches!(check_plan(&problem, plan), Err(found) if found.to_string() == told), "{words}");
        let refused = solve(&problem, &SolveOptions::default(), &Control::new(&at_once));
        assert!(matches!(refused, Err(InputError::Invalid(found)) if found.to_string() == told), "{words}");
        let refused = survey(&problem, &problem.start, ModuleId(0), Interrupt::NEVER);
        assert!(matches!(refused, Err(Unanswered::Invalid(_))), "{words}");
        assert!(matches!(Scenario::of(&problem), Err(WriteError::Invalid(_))), "{words}");
    }
}

#[test]
fn each_broken_plan_is_named() {
    for (words, change) in BROKEN_PLANS {
        let (problem, plan) = planned("pair");
        let mut plan = plan.clone();
        change(&mut plan);
        let told = check_plan(problem, &plan).expect_err(words).to_string();
        assert!(told.contains(words), "{words}: {told}");
        assert!(matches!(margins(problem, &plan, Interrupt::NEVER), Err(Unanswered::Invalid(_))), "{words}");
    }
}

/// Figures that are no numbers are claims that are not true.
#[test]
fn figures_that_are_no_numbers_are_findings() {
    let changes: [fn(&mut Plan); 5] = [
        |p| p.steps[0].utilisation = f64::NAN,
        |p| p.steps[0].gap_m = Some(f64::NAN),
        |p| p.steps[0].start_s = f64::NAN,
        |p| p.steps[0].duration_s = f64::INFINITY,
        |p| p.summary.makespan_s = f64::NAN,
    ];
    for (number, change) in changes.into_iter().enumerate() {
        let (problem, plan) = planned("pair");
        let mut plan = plan.clone();
        change(&mut plan);
        assert!(!check_plan(problem, &plan).expect("its values make sense").is_sound(), "change {number}");
    }
}

#[test]
fn a_survey_of_nobody_is_refused() {
    let problem = pair();
    let refused = survey(&problem, &problem.start, ModuleId(99), Interrupt::NEVER);
    assert!(matches!(refused, Err(Unanswered::Invalid(_))));
    let refused = survey(&problem, &Configuration::default(), ModuleId(0), Interrupt::NEVER);
    assert!(matches!(refused, Err(Unanswered::Invalid(_))));
}

#[test]
fn fixtures_and_their_plans_make_sense() {
    for name in FIXTURES {
        fixture(name).1.validate().unwrap_or_else(|invalid| panic!("{name}: {invalid}"));
    }
    let (_, problem, solution) = solved("row");
    assert_eq!(solution.plan.validate(problem), Ok(()));
}

pub(crate) const KIND_FIELDS: [Set<clamber_core::Kind>; 29] = [
    ("shell_radius_m", |k, v| k.shell_radius_m = v),
    ("ride_height_m", |k, v| k.ride_height_m = v),
    ("foot_radius_m", |k, v| k.foot_radius_m = v),
    ("mass_kg", |k, v| k.mass_kg = v),
    ("com_height_m", |k, v| k.com_height_m = v),
    ("shell_reach_rad", |k, v| k.shell_reach_rad = v),
    ("hop_limit_rad", |k, v| k.hop_limit_rad = v),
    ("magnet_force_n", |k, v| k.magnet_force_n = v),
    ("cup_area_m2", |k, v| k.cup_area_m2 = v),
    ("cup_vacuum_pa", |k, v| k.cup_vacuum_pa = v),
    ("bond_friction", |k, v| k.bond_friction = v),
    ("shell_friction", |k, v| k.shell_friction = v),
    ("hop_hold", |k, v| k.hop_hold = v),
    ("ramp_time_s", |k, v| k.ramp_time_s = v),
    ("peel_radius_m", |k, v| k.peel_radius_m = v),
    ("drive_force_n", |k, v| k.drive_force_n = v),
    ("yaw_torque_rolling_nm", |k, v| k.yaw_torque_rolling_nm = v),
    ("yaw_torque_braced_nm", |k, v| k.yaw_torque_braced_nm = v),
    ("slide_speed_mps", |k, v| k.slide_speed_mps = v),
    ("yaw_rate_rolling_radps", |k, v| k.yaw_rate_rolling_radps = v),
    ("yaw_rate_braced_radps", |k, v| k.yaw_rate_braced_radps = v),
    ("hop_time_s", |k, v| k.hop_time_s = v),
    ("brace_time_s", |k, v| k.brace_time_s = v),
    ("release_time_s", |k, v| k.release_time_s = v),
    ("drive_power_w", |k, v| k.drive_power_w = v),
    ("yaw_power_w", |k, v| k.yaw_power_w = v),
    ("hop_power_w", |k, v| k.hop_power_w = v),
    ("brace_energy_j", |k, v| k.brace_energy_j = v),
    ("idle_power_w", |k, v| k.idle_power_w = v),
];

pub(crate) const SITE_FIELDS: [Set<clamber_core::Site>; 2] =
    [("altitude_m", |s, v| s.altitude_m = v), ("gravity_mps2", |s, v| s.gravity_mps2 = v)];

pub(crate) const LIMITS_FIELDS: [Set<clamber_core::Limits>; 6] = [
    ("hold_factor", |l, v| l.hold_factor = v),
    ("sway_rad", |l, v| l.sway_rad = v),
    ("motion_factor", |l, v| l.motion_factor = v),
    ("motion_tilt_rad", |l, v| l.motion_tilt_rad = v),
    ("touch_tol_m", |l, v| l.touch_tol_m = v),
    ("clearance_m", |l, v| l.clearance_m = v),
];

/// The ranges in code are those of the files, in radians where files have degrees.
#[test]
fn ranges_are_those_of_the_schema() {
    let schema: Value = clamber_core::scenario_schema();
    let range_of = |object: &str, field: &str| {
        let (name, factor) = match field.strip_suffix("_rad") {
            Some(stem) => (format!("{stem}_deg"), std::f64::consts::PI / 180.0),
            None => (field.to_owned(), 1.0),
        };
        let object = match object {
            "kind" => &schema["properties"][object]["additionalProperties"],
            part => &schema["properties"][part],
        };
        let entry = &object["properties"][&name];
        let end = |key: &str| entry[key].as_f64().map(|value| value * factor);
        let least = end("minimum").map(|l| (l, true)).or(end("exclusiveMinimum").map(|l| (l, false)));
        let most = end("maximum").map(|m| (m, true)).or(end("exclusiveMaximum").map(|m| (m, false)));
        (least.unwrap_or_else(|| panic!("{object} {name}: {entry}")), most.expect("an upper end"))
    };
    let mut tried = 0;
    let mut compare = |object: &str, field: &str, set: &dyn Fn(&mut Problem, f64)| {
        let (least, most) = range_of(object, field);
        for (end, is_in, outward) in [(least.0, least.1, -1.0_f64), (most.0, most.1, 1.0)] {
            let beyond = end + outward * 1e-9 * end.abs().max(1e-3);
            for (value, allowed) in [(end, is_in), (beyond, false)] {
                let mut problem = pair();
                set(&mut problem, value);
                let invalid = problem.validate().err();
                let range =
                    |v: &clamber_core::InvalidValue| v.field == field && v.allowed.starts_with("a number");
                let refused = invalid.is_some_and(|invalid| invalid.values.iter().any(range));
                assert_eq!(refused, !allowed, "{object}.{field} = {value}");
                tried += 1;
            }
        }
    };
    for (field, set) in SITE_FIELDS {
        compare("site", field, &|p, value| set(&mut p.site, value));
    }
    for (field, set) in LIMITS_FIELDS {
        compare("limits", field, &|p, value| set(&mut p.limits, value));
    }
    for (field, set) in KIND_FIELDS {
        compare("kind", field, &|p, value| set(&mut p.kinds[0], value));
    }
    assert_eq!(tried, 4 * (2 + 6 + 29));
}

/// Breaks a few values at random.
fn broken() -> impl Strategy<Value = (Vec<usize>, Vec<usize>, f64)> {
    let odd = prop_oneof![
        Just(f64::NAN),
        Just(f64::INFINITY),
        Just(f64::NEG_INFINITY),
        Just(0.0),
        Just(-1.0),
        Just(1e300),
        Just(-1e9),
        Just(1e-300),
        any::<f64>(),
    ];
    (
        prop::collection::vec(0..BROKEN.len() + 7, 0..3),
        prop::collection::vec(0..BROKEN_PLANS.len() + 6, 0..3),
        odd,
    )
}

proptest! {
    #![proptest_config(fixed(400))]

    /// Whatever is wrong with a problem and a plan, the library answers or refuses.
    #[test]
    fn nothing_panics((problem_breaks, plan_breaks, odd) in broken()) {
        let (scenario, mut problem) = fixture("pair");
        let mut plan = planned("pair").1.clone();
        // Lists are emptied last.
        let empties = |change: &usize| BROKEN.get(*change).is_some_and(|(words, _)| words.contains("s: 0") || words.contains("len: 0"));
        let (last, first): (Vec<usize>, Vec<usize>) = problem_breaks.into_iter().partition(empties);
        for change in first.into_iter().chain(last) {
            match change.checked_sub(BROKEN.len()) {
                None => BROKEN[change].1(&mut problem),
                Some(0) => problem.kinds.iter_mut().for_each(|k| k.foot_radius_m = odd),
                Some(1) => problem.limits.touch_tol_m = odd,
                Some(2) => if problem.start.len() > 1 { problem.start.get_mut(ModuleId(1)).position.y = odd },
                Some(3) => problem.decks.iter_mut().for_each(|d| d.solid.bottom = odd),
                Some(4) => problem.site.altitude_m = odd,
                Some(5) => problem.kinds.iter_mut().for_each(|k| k.hop_time_s = odd),
                Some(_) => problem.goal.slots.iter_mut().for_each(|s| s.payload_kg = odd),
            }
        }
        for change in plan_breaks {
            if plan.steps.is_empty() { continue }
            match change.checked_sub(BROKEN_PLANS.len()) {
                None => BROKEN_PLANS[change].1(&mut plan),
                Some(0) => plan.steps[0].start_s = odd,
                Some(1) => plan.steps[0].duration_s = odd,
                Some(2) => plan.steps[0].after = vec![0, 99],
                Some(3) => plan.steps[0].end.orientation = DQuat::from_xyzw(odd, 0.0, 0.0, 0.0),
                Some(4) => plan.summary.makespan_s = odd,
                Some(_) => plan.steps.clear(),
            }
        }
        let valid = problem.validate().is_ok();
        prop_assert_eq!(assess_start(&problem).is_ok(), valid);
        prop_assert_eq!(check_plan(&problem, &plan).is_ok(), plan.validate(&problem).is_ok());
        prop_assert_eq!(margins(&problem, &plan, Interrupt::NEVER).is_ok(), plan.validate(&problem).is_ok());
        prop_assert_eq!(survey(&problem, &problem.start, ModuleId(1), Interrupt::NEVER).is_ok(), valid);
        let answer = solve(&problem, &SolveOptions::default(), &Control::new(&at_once));
        prop_assert!(valid || answer.is_err());
        let _ = (write_plan(&scenario, &problem, &plan), Scenario::of(&problem), plan.carries_anybody(&problem));
    }
}

/// A problem whose scenario is written and read is the same problem.
#[test]
fn scenarios_of_problems_read_back() {
    for name in FIXTURES {
        let (_, problem) = fixture(name);
        let scenario = Scenario::of(&problem).unwrap_or_else(|error| panic!("{name}: {error}"));
        let again = Problem::try_from(&scenario).unwrap_or_else(|error| panic!("{name}: {error}"));
        // Headings and directions are the same but for rounding; all else is equal.
        let with_poses = Problem { start: problem.start.clone(), ..again.clone() };
        assert_eq!(with_poses, problem, "{name}");
        for (id, place) in again.start.iter() {
            let own = problem.start.get(id);
            assert!(place.position.distance(own.position) < 1e-12, "{name}");
            assert!(place.orientation.angle_between(own.orientation) < 1e-7, "{name}");
        }
    }
}

#[test]
fn a_file_holds_only_exact_bonds() {
    let mut problem = pair();
    problem.start.get_mut(ModuleId(1)).position.z += 1e-4;
    assert_eq!(problem.validate(), Ok(()));
    let refused = Scenario::of(&problem);
    assert!(
        matches!(&refused, Err(WriteError::NotThisProblem { field }) if field == "module[1]"),
        "{refused:?}"
    );
}

/// A plan is written only with the scenario of its problem.
#[test]
fn a_plan_is_written_with_its_own_scenario() {
    let (scenario, mut problem) = fixture("pair");
    let plan = &planned("pair").1;
    assert!(write_plan(&scenario, &problem, plan).is_ok());
    problem.modules[1].payload_kg = 0.25;
    problem.assign_classes();
    let refused = write_plan(&scenario, &problem, plan);
    assert!(
        matches!(&refused, Err(WriteError::NotThisProblem { field }) if field == "module[1]"),
        "{refused:?}"
    );
    let own = Scenario::of(&problem).expect("a file can hold it");
    assert!(write_plan(&own, &problem, plan).is_ok());
    problem.goal.slots[0].payload_kg = 0.1;
    let refused = write_plan(&own, &problem, plan);
    assert!(matches!(&refused, Err(WriteError::NotThisProblem { field }) if field == "goal"), "{refused:?}");
}

#[test]
fn a_scenario_made_in_code_is_judged_like_a_file() {
    let (mut scenario, problem) = fixture("pair");
    assert_eq!(Problem::try_from(&scenario), Ok(problem));
    scenario.site.gravity_mps2 = -1.0;
    let told = |scenario: &Scenario| Problem::try_from(scenario).map_err(|d: Diagnostics| d.to_string());
    assert!(told(&scenario).is_err_and(|words| words.contains("site.gravity_mps2")));
    scenario.site.gravity_mps2 = f64::NAN;
    assert!(told(&scenario).is_err_and(|words| words.contains("site.gravity_mps2")));
    scenario.site.gravity_mps2 = 9.8;
    scenario.deck[0].outline_m.clear();
    assert!(told(&scenario).is_err_and(|words| words.contains("outline_m")));
    assert!(write_plan(&scenario, &pair(), &planned("pair").1).is_err());
}

#[test]
fn a_problem_edited_in_code_is_solved_and_written() {
    let mut problem = pair();
    problem.name = "edited".into();
    problem.modules[0].payload_kg = 0.05;
    problem.assign_classes();
    let solution = solve(&problem, &SolveOptions::default(), &Control::unlimited()).expect("it makes sense");
    assert_eq!(solution.status, Status::Solved);
    let scenario = Scenario::of(&problem).expect("a file can hold it");
    let text = write_plan(&scenario, &problem, &solution.plan).expect("it is its own scenario");
    let (_, again, plan, facts) = clamber_core::read_plan("plan.json", &text).expect("it reads");
    assert_eq!(facts.recorded_sha256, facts.actual_sha256);
    assert!(facts.scenario_is_resolved && facts.misnamed_ends.is_empty());
    let report = check_plan(&again, &plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
}
