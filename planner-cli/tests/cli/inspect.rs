//! `clamber inspect`.

use super::scenes;
use super::support::{Folder, json};

#[test]
fn one_line_of_json_for_each_scene() {
    let folder = Folder::with("a.toml", &scenes::drive(&["m1", "m2"]));
    folder.write("b.toml", &scenes::broken());
    folder.write("c.toml", &scenes::unsound());
    let run = folder.run(&["inspect", "a.toml", "b.toml", "c.toml", "--json"]);
    assert_eq!(run.code, 2);
    let lines: Vec<_> = run.stdout.lines().map(json).collect();
    assert_eq!(lines.len(), 3);
    assert_eq!(lines[0]["format"], "clamber-inspection/1");
    assert_eq!((&lines[0]["file"], &lines[2]["file"]), (&"a.toml".into(), &"c.toml".into()));
    assert_eq!(lines[1]["format"], "clamber-refusal/1");
    assert_eq!(lines[1]["problems"][0]["file"], "b.toml");
    assert_eq!(lines[0]["sound"], true);
    assert_eq!(lines[0]["modules"][1]["on"], "apron");
    assert_eq!(lines[0]["load"]["status"], "carried");
    assert!(lines[0]["load"]["bonds"][0].get("utilisation").is_none(), "nothing adheres to bare concrete");
    assert_eq!(lines[2]["sound"], false);
    assert_eq!(lines[2]["problems"][0]["rule"], "overlap");
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

/// Section 3 of the model page: touches with a rough deck count only if its relief is within the tolerance of touches, by default 0.2 mm.
#[test]
fn ground_that_gives_shells_no_support_is_told() {
    let smooth = scenes::drive(&["m1", "m2"]);
    for (relief_m, told) in [("0.0002", false), ("0.0003", true)] {
        let rough = smooth.replacen("friction = 0.7", &format!("friction = 0.7\nrelief_m = {relief_m}"), 1);
        let run = Folder::with("c.toml", &rough).run(&["inspect", "c.toml"]);
        assert_eq!(run.code, 0, "{}", run.stderr);
        let remark = "look again: relief_m of apron is more than touch_tol_m of 0.000200 m";
        assert_eq!(run.stdout.contains(remark), told, "{relief_m}: {}", run.stdout);
    }
}

#[test]
fn a_broken_scene_shows_every_problem_with_its_line() {
    let folder = Folder::with("b.toml", &scenes::broken());
    for command in ["inspect", "plan"] {
        let run = folder.run(&[command, "b.toml"]);
        assert_eq!((run.code, run.stdout.as_str()), (2, ""));
        let told = "b.toml, line 21, kind.cobble.mass_kg: \"half\" was found.\n    mass_kg = \"half\"\n\
                    A number from 1e-6 up to 1000000 is allowed. Give the mass without payload in kilograms.\n";
        assert!(run.stderr.contains(told), "{}", run.stderr);
        assert!(run.stderr.contains("\n    att_m = [-1.5, 0.05]\n"), "{}", run.stderr);
        assert!(run.stderr.contains(" Did you mean `at_m`?\n"), "{}", run.stderr);
        assert!(run.stderr.contains("problems in b.toml"), "{}", run.stderr);
        let looks_like_a_compiler = |line: &str| {
            ["error", "-->", "|", "^", "help:"].iter().any(|sign| line.trim_start().starts_with(sign))
        };
        assert!(!run.stderr.lines().any(looks_like_a_compiler), "{}", run.stderr);
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
