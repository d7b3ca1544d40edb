//! `clamber inspect --module`.

use super::scenes;
use super::support::{Folder, json};
use serde_json::Value;

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

#[test]
fn the_surface_as_one_line_of_json() {
    let folder = Folder::with("a.toml", &scenes::drive(&["m1", "m2"]));
    let run = folder.run(&["inspect", "a.toml", "--module", "m1", "--json"]);
    assert_eq!((run.code, run.stdout.lines().count()), (0, 1), "{}", run.stderr);
    let seen = json(&run.stdout);
    assert_eq!(seen["format"], "clamber-surface/1");
    assert_eq!((&seen["module"], &seen["mover"]), (&"m1".into(), &"free".into()));
    let parts = seen["parts"].as_array().expect("a list");
    let total: f64 = parts.iter().map(|part| number(&part["area_m2"])).sum();
    assert!((total - number(&seen["area_m2"])).abs() < 1e-12);
    assert_eq!((&parts[0]["host"], &parts[0]["reached"]), (&"apron".into(), &true.into()));
    assert_eq!((&parts[1]["host"], &parts[1]["connected"]), (&"invert".into(), &false.into()));
    assert!(parts[1]["why"].as_str().expect("a reason").starts_with("cut off"));
    // Half a sphere of 12 cm: the shell above the height at which the mover touches the deck.
    let half = std::f64::consts::TAU * 0.12 * 0.12;
    assert!((number(&parts[2]["area_m2"]) - half).abs() < 1e-9);
    let arc = &seen["hop_arcs"][0];
    assert_eq!((&arc["hosts"], &arc["ring"]), (&serde_json::json!(["apron", "m2"]), &true.into()));
    assert!((number(&arc["pivot_deg"]) - 90.0).abs() < 1e-9);
    let times: Vec<f64> =
        seen["rests"].as_array().expect("a list").iter().map(|r| number(&r["time_s"])).collect();
    assert!(!times.is_empty() && times.is_sorted());
}

#[test]
fn people_read_tables_and_a_module_that_is_stood_on_stays() {
    let scene = scenes::crew(&["m1", "m2"])
        + "\n[[module]]\nname = \"m3\"\nkind = \"cobble\"\non = \"m1\"\ntoward = [0, 0, 1]\n";
    let folder = Folder::with("a.toml", &scene);
    let run = folder.run(&["inspect", "a.toml", "--module", "m1"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    assert!(run.stdout.contains("m1 carries m3, so they move as one"), "{}", run.stdout);
    assert!(run.stdout.contains("0 rests reached"), "{}", run.stdout);
    assert!(run.stdout.lines().all(|line| line.chars().count() <= 100));
    let free = folder.run(&["inspect", "a.toml", "--module", "m2"]);
    assert!(free.stdout.contains("surface of m2, which stands on apron"), "{}", free.stdout);
    assert!(free.stdout.contains("rest on"), "{}", free.stdout);
    let stuck = scenes::crew(&["m1"]).replace("on = \"apron\"\nat_m", "stuck = true\non = \"apron\"\nat_m");
    folder.write("stuck.toml", &stuck);
    let run = folder.run(&["inspect", "stuck.toml", "--module", "m1"]);
    assert!(run.stdout.contains("m1 cannot drive"), "{}", run.stdout);
}

#[test]
fn an_unsound_start_still_has_a_surface() {
    let folder = Folder::with("c.toml", &scenes::unsound());
    let run = folder.run(&["inspect", "c.toml", "--module", "m2", "--map", "c.svg"]);
    assert_eq!(run.code, 1, "{}", run.stderr);
    assert!(run.stdout.contains("the start is not sound"), "{}", run.stdout);
}

#[test]
fn the_map_is_the_same_every_time_and_well_formed() {
    let scene = scenes::crew(&["m1", "a<&b"]);
    let folder = Folder::with("a.toml", &scene);
    for name in ["one.svg", "two.svg"] {
        let run = folder.run(&["inspect", "a.toml", "--module", "m1", "--map", name]);
        assert_eq!(run.code, 0, "{}", run.stderr);
        assert!(run.stdout.contains(&format!("map written to {name}")), "{}", run.stdout);
    }
    let map = folder.read("one.svg");
    assert_eq!(map, folder.read("two.svg"));
    assert!(map.starts_with("<?xml") && map.ends_with("</svg>\n"));
    assert!(map.contains(">a&lt;&amp;b</text>") && !map.contains("a<&b"));
    for class in
        ["\"free\"", "\"dots\"", "\"hatch\"", "\"edge\"", "\"hop\"", "\"reach\"", "\"rest\"", "\"start\""]
    {
        assert!(map.contains(&format!("class={class}")), "{class}");
    }
    assert_eq!(map.matches("<g ").count(), map.matches("</g>").count());
    assert!(!map.contains("NaN") && !map.contains("inf\""), "all numbers are finite");
    assert!(map.len() < 1_000_000);
}

#[test]
fn what_makes_no_sense_is_refused() {
    let folder = Folder::with("a.toml", &scenes::crew(&["m1"]));
    folder.write("b.toml", &scenes::crew(&["m1"]));
    let run = folder.run(&["inspect", "a.toml", "--module", "m9"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("no module \"m9\" in a.toml; there are m1"), "{}", run.stderr);
    assert_eq!(folder.run(&["inspect", "a.toml", "--map", "a.svg"]).code, 2, "a map of what?");
    assert_eq!(folder.run(&["inspect", "a.toml", "--all"]).code, 2);
    let two = folder.run(&["inspect", "a.toml", "b.toml", "--module", "m1", "--map", "a.svg"]);
    assert_eq!((two.code, two.stdout.as_str()), (2, ""));
    let over = folder.run(&["inspect", "a.toml", "--module", "m1", "--map", "a.toml"]);
    assert_eq!(over.code, 2);
    assert!(
        over.stderr.contains("a.toml is a scene, and a picture (SVG) would be written over it"),
        "{}",
        over.stderr
    );
    assert!(folder.read("a.toml").starts_with("format = "), "the scene is still there");
    assert_eq!(folder.run(&["inspect", "a.toml", "--module", "m1", "--map", "nowhere/a.svg"]).code, 2);
}
