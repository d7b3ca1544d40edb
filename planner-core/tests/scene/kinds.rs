//! Kinds that a scene takes from files beside it.

use crate::support::example;
use clamber_core::unstable::scene::read_scenario_with;
use clamber_core::{Diagnostics, Scenario, read_scenario, scenario_sha256};
use std::cell::RefCell;

/// The kind of the example as a file of kinds, and the example with this in its place.
fn parts(in_its_place: &str) -> (String, String) {
    let text = example();
    let (head, rest) = text.split_once("[kind.cobble]\n").expect("there is a kind");
    let (kind, tail) = rest.split_once("\n[[module]]").expect("there are modules");
    let kinds = format!("format = \"clamber-kinds/1\"\n[kind.cobble]\n{kind}");
    (kinds, format!("{head}{in_its_place}\n[[module]]{tail}"))
}

fn read(scene: &str, kinds: &str) -> Result<Scenario, Diagnostics> {
    let beside = |file: &str| match file {
        "crew.toml" => Ok(kinds.to_owned()),
        _ => Err("there is no such file".into()),
    };
    read_scenario_with("scene.toml", scene, &beside).map(|(scenario, _)| scenario)
}

#[test]
fn the_scenario_has_every_field_written_out() {
    let (kinds, scene) = parts("[kind.cobble]\nfrom = \"crew.toml\"\n");
    let taken = read(&scene, &kinds).expect("sound");
    let (whole, _) = read_scenario("scene.toml", &example()).expect("sound");
    assert_eq!(taken, whole);
    assert_eq!(scenario_sha256(&taken), scenario_sha256(&whole));
}

#[test]
fn the_digest_covers_what_was_read() {
    let (kinds, scene) = parts("[kind.cobble]\nfrom = \"crew.toml\"\n");
    let other = kinds.replace("mass_kg = 0.50", "mass_kg = 0.51");
    assert_ne!(kinds, other);
    let digest = |kinds: &str| scenario_sha256(&read(&scene, kinds).expect("sound"));
    assert_ne!(digest(&kinds), digest(&other));
}

#[test]
fn a_file_is_read_once_for_all_its_kinds() {
    let (kinds, scene) =
        parts("[kind.cobble]\nfrom = \"crew.toml\"\n[kind.spare]\nfrom = \"crew.toml\"\nname = \"cobble\"\n");
    let asked = RefCell::new(Vec::new());
    let beside = |file: &str| {
        asked.borrow_mut().push(file.to_owned());
        Ok(kinds.clone())
    };
    let (scenario, _) = read_scenario_with("scene.toml", &scene, &beside).expect("sound");
    assert_eq!(scenario.kind["cobble"], scenario.kind["spare"]);
    assert_eq!(*asked.borrow(), ["crew.toml"]);
}

#[test]
fn nothing_is_read_unless_the_caller_reads() {
    let (_, scene) = parts("[kind.cobble]\nfrom = \"crew.toml\"\n");
    let problems = read_scenario("scene.toml", &scene).expect_err("there is no reader").to_string();
    assert!(problems.contains("kind.cobble.from: \"crew.toml\" cannot be read: "), "{problems}");
    assert_eq!(problems.lines().count(), 1, "{problems}");
}

/// A file of kinds takes nothing from other files, so that there are no rings.
#[test]
fn a_file_of_kinds_takes_from_no_other() {
    let (kinds, scene) = parts("[kind.cobble]\nfrom = \"crew.toml\"\n");
    let ring = kinds + "[kind.ring]\nfrom = \"crew.toml\"\n";
    let problems = read(&scene, &ring).expect_err("a ring").to_string();
    assert!(
        problems.contains("crew.toml:") && problems.contains("kind.ring.from: unknown field"),
        "{problems}"
    );
}

/// Values from two files are held against each other, and each problem is told of the file it is in.
#[test]
fn a_problem_has_the_place_of_the_value_it_is_about() {
    let (kinds, scene) = parts("[kind.cobble]\nfrom = \"crew.toml\"\nshell_radius_m = 0.07\n");
    let problems = read(&scene, &kinds).expect_err("the sole is inside the shell");
    let sole =
        problems.iter().find(|problem| problem.field == "kind.cobble.ride_height_m").expect("the sole");
    let line = kinds.lines().position(|line| line.starts_with("ride_height_m")).expect("a line") + 1;
    assert_eq!((sole.file.as_str(), sole.line), ("crew.toml", line));
    assert_eq!(&kinds[sole.span.clone()], "0.060");
    assert!(sole.quote.starts_with("ride_height_m = 0.060"), "{}", sole.quote);
}
