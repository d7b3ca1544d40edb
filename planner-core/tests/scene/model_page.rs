//! The example of the model page, and what the page says of its parts.

use crate::support::{example, whole_example};
use clamber_core::unstable::scene::HoldWord;
use clamber_core::{Body, GroundId, Hold, ModuleId, SlotId, SlotPlace};
use clamber_core::{DVec2, Diagnostics, FileFormat, Scenario, read_scenario, write_scenario};

fn read(text: &str) -> (Scenario, clamber_core::Problem) {
    read_scenario("scene.toml", text).unwrap_or_else(|problems: Diagnostics| panic!("{problems}"))
}

#[test]
fn the_example_is_read() {
    let (scene, problem) = read(&example());
    assert_eq!(scene.deck.iter().map(|deck| deck.name.as_str()).collect::<Vec<_>>(), ["apron", "sill"]);
    assert_eq!(problem.modules.len(), 2);
    let first = problem.start.get(ModuleId(0));
    let second = problem.start.get(ModuleId(1));
    assert_eq!((first.host, second.host), (Body::Ground(GroundId(0)), Body::Module(ModuleId(0))));
    // Section 2: p.z = top + h on a deck, |p − p_host| = R_host + h on a shell.
    assert!((first.position.z - 0.060).abs() < 1e-12);
    assert!((second.position.distance(first.position) - 0.120).abs() < 1e-12);
    assert!((second.position.z - 0.180).abs() < 1e-12);
    let slot = &problem.goal.slots[0];
    assert_eq!((slot.hold, slot.module), (Some(Hold::Braced), Some(ModuleId(0))));
    assert!((problem.kinds[0].shell_reach_rad.to_degrees() - 130.0).abs() < 1e-12);
}

#[test]
fn every_default_is_written_out() {
    let (scene, _) = read(&example());
    let sill = &scene.deck[1];
    assert_eq!((sill.bottom_m, sill.ferrous, sill.sealable), (None, false, false));
    let upper = &scene.module[1];
    assert_eq!((upper.facing, upper.hold, upper.stuck), (Some([1.0, 0.0, 0.0]), HoldWord::Rolling, false));
    assert_eq!(upper.payload_kg, 0.0);
    assert_eq!((scene.site.altitude_m, scene.site.gravity_mps2), (0.0, 9.80665));
}

#[test]
fn without_facing_it_is_x_or_y() {
    let text = example().replace("toward = [0, 0, 1] ", "toward = [-3, 0, 0] ");
    let (scene, problem) = read(&text);
    assert_eq!(scene.module[1].facing, Some([0.0, 1.0, 0.0]));
    let heading = problem.start.get(ModuleId(1)).heading();
    assert!((heading.y - 1.0).abs() < 1e-12, "{heading}");
}

#[test]
fn without_goal_site_and_limits() {
    let text = example();
    let text = text.split("[[goal.slot]]").next().expect("the part before the goal");
    let mut text = text.to_owned();
    for gone in [
        "[limits]",
        "hold_factor",
        "sway_deg",
        "motion_factor",
        "touch_tol_m",
        "clearance_m",
        "motion_tilt_deg",
        "[site]",
        "altitude_m",
        "gravity_mps2",
    ] {
        text = text.lines().filter(|line| !line.starts_with(gone)).collect::<Vec<_>>().join("\n");
    }
    let (scene, problem) = read(&text);
    assert_eq!(scene.goal, None);
    assert!(problem.goal.is_empty());
    let limits = problem.limits;
    assert_eq!((limits.hold_factor, limits.motion_factor, limits.touch_tol_m), (1.5, 1.1, 0.0002));
    assert!((limits.sway_rad.to_degrees() - 3.0).abs() < 1e-12);
    assert_eq!(problem.site.gravity_mps2, 9.80665);
}

#[test]
fn an_empty_goal_is_none_and_a_gather_counts_the_crew() {
    let text = example();
    let head = text.split("[[goal.slot]]").next().expect("the part before the goal");
    assert_eq!(read(&format!("{head}\n[goal]\n")).0.goal, None);
    let (scene, problem) = read(&format!("{head}\n[goal.gather]\ndeck = \"sill\"\n"));
    assert_eq!(scene.goal.and_then(|goal| goal.gather).and_then(|gather| gather.count), Some(2));
    assert_eq!(problem.goal.gather.map(|gather| gather.count), Some(2));
}

#[test]
fn hosts_may_be_listed_after_those_on_them() {
    let text = example();
    let head = text.split("[[goal.slot]]").next().expect("the part before the goal");
    let module = "\n[[module]]\nname = \"m0\"\nkind = \"cobble\"\non = \"m9\"\ntoward = [1, 0, 1]\n\
                  [[module]]\nname = \"m9\"\nkind = \"cobble\"\non = \"m2\"\ntoward = [0, 0, 5]\n";
    let slots = "\n[[goal.slot]]\nname = \"top\"\non = \"mid\"\ntoward = [0, 0, 2]\n[[goal.slot]]\nname = \"mid\"\non = \"low\"\n\
                 toward = [0, 0, 1]\n[[goal.slot]]\nname = \"low\"\non = \"sill\"\nat_m = [0.5, 0]\n";
    let (scene, problem) = read(&format!("{head}{module}{slots}"));
    assert_eq!(scene.module[2].name, "m0");
    assert!((problem.start.get(ModuleId(3)).position.z - 0.300).abs() < 1e-12);
    assert!((problem.start.get(ModuleId(2)).position.z - (0.300 + 0.120 / 2f64.sqrt())).abs() < 1e-12);
    let names: Vec<&str> = problem.goal.slots.iter().map(|slot| slot.name.as_str()).collect();
    assert_eq!(names, ["low", "mid", "top"]);
    assert!(
        matches!(problem.goal.slots[2].place, SlotPlace::OnSlot(SlotId(1), up) if (up.z - 1.0).abs() < 1e-12)
    );
    assert_eq!(scene.goal.expect("a goal").slot[0].name, "top");
}

/// Section 9: names are unique over decks and modules, and over decks and slots: a slot may be called like a module.
#[test]
fn a_slot_may_be_called_like_a_module() {
    read(&example().replace("name = \"s1\"", "name = \"m1\""));
}

/// The example of section 7 with its ramp and its boulder.
#[test]
fn the_whole_example_has_a_ramp_and_a_boulder() {
    let (scene, problem) = read(&whole_example());
    let ramp = scene.deck.iter().position(|deck| deck.name == "ramp").expect("there is a ramp");
    let top = problem.decks[ramp].solid.top;
    assert!((top.height_at(DVec2::new(0.5, 2.5)) - 0.1).abs() < 1e-15);
    assert!((top.normal.z - 1.0 / 1.04_f64.sqrt()).abs() < 1e-15);
    assert_eq!((scene.deck[ramp].top_m, scene.deck[ramp].bottom_m), (None, None));
    assert_eq!(problem.stones[0].name, "boulder");
    let written = write_scenario(&scene, FileFormat::Toml).expect("it can be written");
    assert_eq!(read(&written).1, problem);
}

/// Section 2: 0.2 mm and the largest ride clearance of the kinds in use, of which at most 1 mm counts.
#[test]
fn the_touch_tolerance_follows_the_ride_clearance() {
    let text = example();
    let text: String =
        text.lines().filter(|line| !line.starts_with("touch_tol_m")).collect::<Vec<_>>().join("\n");
    let (_, kind) = text.split_once("[kind.cobble]\n").expect("there is a kind");
    let (kind, _) = kind.split_once("\n\n").expect("it ends");
    for (ride_mm, tolerance_mm) in [(60.0, 0.2), (60.5, 0.7), (61.0, 1.2), (63.0, 1.2)] {
        let ride = format!("ride_height_m = {:?}", ride_mm * 1e-3);
        let higher = text.replace("ride_height_m = 0.060", &ride);
        let (scene, problem) = read(&higher);
        assert!((problem.limits.touch_tol_m - tolerance_mm * 1e-3).abs() < 1e-15, "{ride}");
        assert_eq!(scene.limits.touch_tol_m, Some(problem.limits.touch_tol_m));
        // A kind that no module is of does not count.
        let spare = format!("\n[kind.spare]\n{}", kind.replace("ride_height_m = 0.060", &ride));
        assert_eq!(read(&format!("{text}\n{spare}")).1.limits.touch_tol_m, 0.0002);
        // A number in the file is the tolerance itself.
        let said = higher.replace("[limits]", "[limits]\ntouch_tol_m = 0.0003");
        assert_eq!(read(&said).1.limits.touch_tol_m, 0.0003);
    }
}

/// Section 7: every field of the second edition that has a default.
#[test]
fn later_defaults_are_written_out() {
    let (scene, problem) = read(&example());
    let kind = &scene.kind["cobble"];
    assert_eq!((kind.ramp_time_s, kind.peel_radius_m), (Some(0.2), Some(0.040)));
    assert_eq!(
        (kind.step_limit_m, kind.crease_limit_deg, kind.cross_time_s),
        (Some(0.0), Some(0.0), Some(4.0))
    );
    assert_eq!((scene.deck[0].relief_m, scene.deck[0].tilt_deg), (Some(0.0), Some(0.0)));
    let limits = &scene.limits;
    assert_eq!(
        (limits.clearance_m, limits.motion_tilt_deg, limits.recover_factor),
        (Some(0.0), Some(0.0), None)
    );
    assert_eq!(scene.module[0].lost.as_deref(), Some(&[] as &[_]));
    assert_eq!(scene.goal.expect("a goal").slot[0].optional, Some(false));
    assert_eq!((problem.kinds[0].ramp_time_s, problem.kinds[0].peel_radius_m), (0.2, 0.040));
}
