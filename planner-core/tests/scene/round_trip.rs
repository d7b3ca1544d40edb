//! What is written is read back as it was.

use crate::support::{example, fixed};
use clamber_core::{FileFormat, Scenario, read_scenario, scenario_sha256, write_scenario};
use proptest::prelude::*;

fn back(scene: &Scenario, format: FileFormat) -> Scenario {
    let text = write_scenario(scene, format).expect("finite numbers");
    read_scenario("again", &text).unwrap_or_else(|problems| panic!("{problems}\n{text}")).0
}

#[test]
fn toml_to_scenario_to_json_and_back() {
    let (scene, problem) = read_scenario("scene.toml", &example()).expect("the example is sound");
    let json = write_scenario(&scene, FileFormat::Json).expect("finite numbers");
    let (from_json, again) = read_scenario("scene.json", &json).expect("sound");
    assert_eq!((&from_json, &again), (&scene, &problem));
    assert_eq!(back(&from_json, FileFormat::Toml), scene);
    assert_eq!(scenario_sha256(&from_json), scenario_sha256(&scene));
}

#[test]
fn keys_come_in_the_order_of_the_page() {
    let (scene, _) = read_scenario("scene.toml", &example()).expect("the example is sound");
    let json = write_scenario(&scene, FileFormat::Json).expect("finite numbers");
    let places: Vec<Option<usize>> = ["format", "name", "site", "limits", "deck", "kind", "module", "goal"]
        .iter()
        .map(|key| json.find(&format!("\n  \"{key}\":")))
        .collect();
    assert!(places.is_sorted() && places[0].is_some(), "{places:?}");
}

#[test]
fn what_is_not_finite_is_not_written() {
    let (mut scene, _) = read_scenario("scene.toml", &example()).expect("the example is sound");
    scene.kind[0].mass_kg = f64::NAN;
    for format in [FileFormat::Json, FileFormat::Toml] {
        let error = write_scenario(&scene, format).expect_err("not a number").to_string();
        assert!(error.starts_with("kind.cobble.mass_kg: "), "{error}");
    }
}

proptest! {
    #![proptest_config(fixed(256))]

    /// Numbers come back bit for bit, names character for character, kinds in their order.
    #[test]
    fn numbers_and_names_survive(
        mass in 1e-6..1e6_f64,
        at in prop::array::uniform2(-1e6..1e6_f64),
        toward in prop::array::uniform3(-1e300..1e300_f64),
        name in "[^\\p{Cc}]{1,40}",
        kind in "[^\\p{Cc}]{1,20}",
    ) {
        let (mut scene, _) = read_scenario("scene.toml", &example()).expect("the example is sound");
        scene.name = name;
        scene.kind[0].mass_kg = mass;
        let spare = scene.kind[0].clone();
        scene.kind.insert(kind, spare);
        scene.module[0].at_m = Some(at);
        scene.module[1].toward = Some(toward);
        scene.module[1].facing = None;
        let json = back(&scene, FileFormat::Json);
        prop_assert_eq!(&json, &back(&scene, FileFormat::Toml));
        prop_assert!(json.kind.keys().eq(scene.kind.keys()));
        scene.module[1].facing = json.module[1].facing;
        prop_assert_eq!(json, scene);
    }
}
