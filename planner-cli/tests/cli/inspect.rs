//! `clamber inspect`.

use super::scenes;
use super::support::{Folder, json};

#[test]
fn one_line_of_json_for_each_scene_that_can_be_read() {
    let folder = Folder::with("a.toml", &scenes::drive(&["m1", "m2"]));
    folder.write("b.toml", &scenes::broken());
    folder.write("c.toml", &scenes::unsound());
    let run = folder.run(&["inspect", "a.toml", "b.toml", "c.toml", "--json"]);
    assert_eq!(run.code, 2);
    let lines: Vec<_> = run.stdout.lines().map(json).collect();
    assert_eq!(lines.len(), 2);
    assert_eq!(lines[0]["format"], "clamber-inspection/1");
    assert_eq!((&lines[0]["file"], &lines[1]["file"]), (&"a.toml".into(), &"c.toml".into()));
    assert_eq!(lines[0]["sound"], true);
    assert_eq!(lines[0]["modules"][1]["on"], "apron");
    assert_eq!(lines[0]["load"]["status"], "carried");
    assert!(lines[0]["load"]["bonds"][0].get("utilisation").is_none(), "nothing adheres to bare concrete");
    assert_eq!(lines[1]["sound"], false);
    assert_eq!(lines[1]["problems"][0]["rule"], "overlap");
    assert!(run.stderr.contains("b.toml"), "{}", run.stderr);
}

#[test]
fn carries_names_all_that_stand_on_a_module() {
    let tower = scenes::crew(&["m1"])
        + "\n[[module]]\nname = \"m3\"\nkind = \"cobble\"\non = \"m2\"\ntoward = [0, 0, 1]\n"
        + "\n[[module]]\nname = \"m2\"\nkind = \"cobble\"\non = \"m1\"\ntoward = [0, 0, 1]\n";
    let folder = Folder::with("tower.toml", &tower);
    let run = folder.run(&["inspect", "tower.toml", "--json"]);
    let seen = json(&run.stdout);
    assert_eq!(seen["modules"][0]["carries"], serde_json::json!(["m3", "m2"]));
    assert_eq!(seen["modules"][1]["carries"], serde_json::json!([]));
    assert!(seen["load"]["bonds"][1]["utilisation"].is_number());
}

#[test]
fn an_unsound_start_exits_with_1_and_says_why() {
    let folder = Folder::with("c.toml", &scenes::unsound());
    let run = folder.run(&["inspect", "c.toml"]);
    assert_eq!(run.code, 1);
    assert!(run.stdout.contains("the start is not sound"), "{}", run.stdout);
    assert!(run.stdout.contains("overlap: "), "{}", run.stdout);
}

#[test]
fn a_broken_scene_shows_every_problem_under_its_line() {
    let folder = Folder::with("b.toml", &scenes::broken());
    for command in ["inspect", "plan"] {
        let run = folder.run(&[command, "b.toml"]);
        assert_eq!((run.code, run.stdout.as_str()), (2, ""));
        assert!(run.stderr.contains("--> b.toml:21:11"), "{}", run.stderr);
        assert!(run.stderr.contains("mass_kg = \"half\""), "{}", run.stderr);
        assert!(run.stderr.contains("did you mean `at_m`?"), "{}", run.stderr);
        assert!(run.stderr.contains("problems in b.toml"), "{}", run.stderr);
        assert!(!run.stderr.contains('\u{1b}'), "no colours without a terminal");
    }
}

#[test]
fn what_cannot_be_opened_is_named() {
    let folder = Folder::new();
    for command in ["inspect", "plan", "check", "script"] {
        let run = folder.run(&[command, "nowhere.toml"]);
        assert_eq!(run.code, 2);
        assert!(run.stderr.contains("nowhere.toml cannot be read: there is no such file"), "{}", run.stderr);
    }
    assert_eq!(folder.run(&["inspect", "."]).code, 2);
    assert_eq!(folder.run(&["inspect"]).code, 2);
}
