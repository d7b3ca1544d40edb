//! `clamber scene`.

use crate::support::{Folder, json};

#[test]
fn a_seed_gives_a_scene_that_stands() {
    let folder = Folder::new();
    let made = folder.run(&["scene", "reach", "--modules", "5", "--seed", "3", "-o", "reach.toml"]);
    assert_eq!((made.code, made.stderr.as_str()), (0, ""));
    assert!(made.stdout.starts_with("reach.toml: reach 5 3, rehearsed in "), "{}", made.stdout);
    let printed = folder.run(&["scene", "reach", "--modules", "5", "--seed", "3"]);
    assert_eq!(printed.stdout, folder.read("reach.toml"));
    assert!(printed.stdout.starts_with("# reach, 5 modules, seed 3.\n# Solvable: "), "{}", printed.stdout);
    let inspected = folder.run(&["inspect", "reach.toml"]);
    assert!(inspected.code == 0 && inspected.stdout.contains("the start is sound"), "{}", inspected.stdout);
    let as_json = folder.run(&["scene", "reach", "--modules", "5", "--seed", "3", "--json"]);
    assert_eq!(json(&as_json.stdout)["module"].as_array().map(Vec::len), Some(5));
}

/// The scene to begin with is sound, solved in a second, and explains every field that a scene has.
#[test]
fn a_new_scene_can_be_planned_and_explains_every_field() {
    let folder = Folder::new();
    let made = folder.run(&["scene", "new", "-o", "mine.toml"]);
    assert_eq!((made.code, made.stderr.as_str()), (0, ""));
    assert_eq!(folder.run(&["scene", "new"]).stdout, folder.read("mine.toml"));
    let planned = folder.run(&["plan", "mine.toml", "-o", "plan.json"]);
    assert_eq!(planned.code, 0, "{}{}", planned.stdout, planned.stderr);
    assert_eq!(folder.run(&["check", "plan.json"]).code, 0);
    let schema = json(&folder.run(&["schema", "scenario"]).stdout);
    let fields = |at: &str| {
        schema
            .pointer(at)
            .and_then(|s| s["properties"].as_object())
            .expect(at)
            .keys()
            .cloned()
            .collect::<Vec<_>>()
    };
    let text = folder.read("mine.toml");
    for at in [
        "/properties/site",
        "/properties/limits",
        "/properties/deck/items",
        "/properties/kind/additionalProperties",
        "/properties/module/items",
        "/properties/goal/properties/slot/items",
        "/properties/goal/properties/gather",
    ] {
        for field in fields(at).iter().filter(|field| *field != "from") {
            let line =
                text.lines().find(|line| line.trim_start_matches("# ").starts_with(&format!("{field} = ")));
            assert!(line.is_some(), "{at}/{field}");
        }
    }
    let kind = text.split("[kind.cobble]\n").nth(1).expect("a kind");
    let explained =
        kind.lines().take_while(|line| !line.is_empty()).filter(|line| line.contains("# ")).count();
    assert_eq!(explained, 32, "every field of the kind has its comment");
    let as_json = folder.run(&["scene", "new", "--json", "-o", "mine.json"]);
    assert_eq!(json(&as_json.stdout)["written_to"], "mine.json");
    assert_eq!(folder.run(&["plan", "mine.json"]).code, 0);
    let seeded = folder.run(&["scene", "new", "--seed", "3"]);
    assert!(
        seeded.code == 2 && seeded.stderr.contains("leave out --modules, --seed, --kind and --ground"),
        "{}",
        seeded.stderr
    );
}

/// A scene of a kind from the seed says so in its name, is replaced by another one, and keeps its name as a scene from a seed.
#[test]
fn kinds_come_from_the_seed() {
    let folder = Folder::new();
    for (kind, says) in
        [("random", "climb 4 3 random"), ("mixed", "climb 4 3 mixed"), ("cobble", "climb 4 3,")]
    {
        let made = folder.run(&[
            "scene",
            "climb",
            "--modules",
            "4",
            "--seed",
            "3",
            "--kind",
            kind,
            "-o",
            "climb.toml",
        ]);
        assert_eq!((made.code, made.stderr.as_str()), (0, ""));
        assert!(made.stdout.starts_with(&format!("climb.toml: {says}")), "{}", made.stdout);
        let inspected = folder.run(&["inspect", "climb.toml"]);
        assert!(
            inspected.code == 0 && inspected.stdout.contains("the start is sound"),
            "{}",
            inspected.stdout
        );
    }
    let usual = folder.run(&["scene", "climb", "--modules", "4", "--seed", "3"]);
    assert_eq!(usual.stdout, folder.read("climb.toml"));
}

/// A field on the ground that was asked for says so in its name, and keeps its name as a scene from a seed.
#[test]
fn large_crews_stand_on_the_ground_that_was_asked_for() {
    let folder = Folder::new();
    let scene = |more: &[&str]| {
        folder.run(&[&["scene", "fields", "--modules", "64", "-o", "fields.toml"], more].concat())
    };
    for (more, says, ground) in [
        (vec![], "fields 64 1,", "# All ground is steel."),
        (vec!["--ground", "concrete"], "fields 64 1 concrete,", "# All ground is bare concrete."),
        (
            vec!["--kind", "random", "--ground", "steel"],
            "fields 64 1 random steel,",
            "# All ground is steel.",
        ),
    ] {
        let made = scene(&more);
        assert_eq!((made.code, made.stderr.as_str()), (0, ""));
        assert!(made.stdout.starts_with(&format!("fields.toml: {says} not known")), "{}", made.stdout);
        let text = folder.read("fields.toml");
        assert!(text.lines().any(|line| line == ground), "{text:.400}");
        assert!(
            text.contains("\n# Unknown: each of the 16 shapes was rehearsed by itself, in "),
            "{text:.400}"
        );
    }
}

#[test]
fn what_is_not_allowed_is_refused() {
    let folder = Folder::new();
    for (arguments, says) in [
        (["scene", "heap", "--modules", "5"], "scattered-to-shape"),
        (["scene", "climb", "--modules", "3"], "3 modules; climb takes from 4 to 16"),
        (["scene", "climb", "--modules", "17"], "give --modules from 4 to 16"),
        (["scene", "pyramid", "--modules", "2001"], "give --modules from 5 to 2000"),
        (["scene", "climb", "--kind", "gravel"], "mixed"),
        (["scene", "wall", "--kind", "mixed"], "give --kind cobble or --kind random"),
        (["scene", "reach", "--ground", "concrete"], "leave out --ground"),
        (["scene", "new", "--ground", "steel"], "leave out --modules, --seed, --kind and --ground"),
    ] {
        let run = folder.run(&arguments);
        assert!(run.code == 2 && run.stdout.is_empty() && run.stderr.contains(says), "{}", run.stderr);
    }
}
