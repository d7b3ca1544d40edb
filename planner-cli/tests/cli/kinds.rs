//! Kinds that a scene takes from a file beside it.

use super::scenes;
use super::support::{Folder, Run, json};
use serde_json::Value;

/// The scene without its kind, which is in `crew.toml` beside it.
fn folder() -> Folder {
    let whole = scenes::drive(&["m1"]);
    let (head, rest) = whole.split_once("[kind.cobble]\n").expect("there is a kind");
    let (kind, tail) = rest.split_once("\n[[module]]").expect("there are modules");
    let folder = Folder::with("crew.toml", &format!("format = \"clamber-kinds/1\"\n\n[kind.cobble]\n{kind}"));
    folder.write("whole.toml", &whole);
    folder.write("culvert.toml", &format!("{head}[kind.cobble]\nfrom = \"crew.toml\"\n\n[[module]]{tail}"));
    folder
}

fn digest(folder: &Folder, scene: &str) -> Value {
    let run = folder.run(&["inspect", scene, "--json"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    json(&run.stdout)["scenario_sha256"].clone()
}

/// Replaces a line of the scene and inspects it.
fn with(folder: &Folder, old: &str, new: &str) -> Run {
    let scene = folder.read("culvert.toml");
    assert!(scene.contains(old), "{old}");
    folder.write("other.toml", &scene.replace(old, new));
    folder.run(&["inspect", "other.toml"])
}

#[test]
fn a_kind_from_a_file_is_the_kind_written_out() {
    let folder = folder();
    assert_eq!(digest(&folder, "culvert.toml"), digest(&folder, "whole.toml"));
    assert_eq!(folder.run(&["plan", "culvert.toml", "-o", "plan.json"]).code, 0);
    let plan = json(&folder.read("plan.json"));
    let kind = plan["scenario"]["kind"]["cobble"].as_object().expect("a kind");
    assert_eq!((kind.len(), &kind["mass_kg"]), (32, &0.5.into()));
    // The plan needs no file any more.
    std::fs::remove_file(folder.path("crew.toml")).expect("the file is there");
    assert_eq!(folder.run(&["check", "plan.json"]).code, 0);
}

#[test]
fn fields_beside_it_override_and_another_name_will_do() {
    let folder = folder();
    let run = with(&folder, "from = \"crew.toml\"", "from = \"crew.toml\"\nmass_kg = 0.52");
    assert_eq!(run.code, 0, "{}", run.stderr);
    folder.write("whole.toml", &folder.read("whole.toml").replace("mass_kg = 0.50", "mass_kg = 0.52"));
    assert_eq!(digest(&folder, "other.toml"), digest(&folder, "whole.toml"));
    folder.write("crew.toml", &folder.read("crew.toml").replace("[kind.cobble]", "[kind.pebble]"));
    let run = with(&folder, "from = \"crew.toml\"", "from = \"crew.toml\"\nname = \"pebble\"");
    assert_eq!(run.code, 0, "{}", run.stderr);
    let run = with(&folder, "from = \"crew.toml\"", "from = \"crew.toml\"");
    assert!(run.stderr.contains("there is no kind \"cobble\" in crew.toml"), "{}", run.stderr);
    assert!(run.stderr.contains("The kinds there are pebble."), "{}", run.stderr);
}

#[test]
fn only_a_file_beside_the_scene_is_read() {
    let folder = folder();
    std::fs::create_dir(folder.path("below")).expect("the folder can be made");
    folder.write("below/crew.toml", &folder.read("crew.toml"));
    for file in [
        "below/crew.toml",
        "../crew.toml",
        "..",
        ".",
        "",
        "C:crew.toml",
        "below\\\\crew.toml",
        "/etc/hostname",
    ] {
        let run = with(&folder, "from = \"crew.toml\"", &format!("from = \"{file}\""));
        assert_eq!(run.code, 2, "{file}");
        assert!(
            run.stderr.contains("The plain name of a file beside the scene is allowed"),
            "{}",
            run.stderr
        );
        assert_eq!(
            run.stderr.matches("other.toml, line").count(),
            1,
            "one problem is one message: {}",
            run.stderr
        );
    }
    let run = with(&folder, "crew.toml", "nowhere.toml");
    assert!(
        run.stderr.contains("kind.cobble.from: \"nowhere.toml\" cannot be read: there is no such file"),
        "{}",
        run.stderr
    );
    let mut command = folder.command(&["inspect", "-"]);
    command.stdin(std::fs::File::open(folder.path("culvert.toml")).expect("the scene is there"));
    let run = Run::of(command.output().expect("the binary runs"));
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("a scene from stdin has no files beside it"), "{}", run.stderr);
}

#[test]
fn a_problem_is_told_of_the_file_it_is_in() {
    let folder = folder();
    let sound = folder.read("crew.toml");
    let line =
        |text: &str, what: &str| 1 + text.lines().position(|line| line.starts_with(what)).expect("a line");
    for (old, new, field) in [
        ("mass_kg = 0.50", "mass_kg = \"half\"", "mass_kg"),
        ("hop_hold = 0.6", "hop_holds = 0.6", "hop_holds"),
        ("hop_hold = 0.6", "from = \"crew.toml\"", "from"),
        // Held against another field of the same kind.
        ("foot_radius_m = 0.040", "foot_radius_m = 0.4", "foot_radius_m"),
    ] {
        let broken = sound.replace(old, new);
        folder.write("crew.toml", &broken);
        let run = folder.run(&["inspect", "culvert.toml", "--json"]);
        assert_eq!(run.code, 2);
        let problems = json(&run.stdout)["problems"].clone();
        let found = problems
            .as_array()
            .expect("a list")
            .iter()
            .find(|p| p["field"] == format!("kind.cobble.{field}"));
        let found = found.unwrap_or_else(|| panic!("{field} in {problems}"));
        assert_eq!(
            (&found["file"], &found["line"]),
            (&"crew.toml".into(), &line(&broken, field).into()),
            "{found}"
        );
        assert!(run.stderr.contains(&format!("\n    {new}\n")), "{}", run.stderr);
    }
    // What overrides is in the scene.
    folder.write("crew.toml", &sound);
    let run = with(&folder, "from = \"crew.toml\"", "from = \"crew.toml\"\nride_height_m = 0.01");
    let place = format!(
        "other.toml, line {}, kind.cobble.ride_height_m: ",
        line(&folder.read("other.toml"), "ride_height_m")
    );
    assert!(run.stderr.contains(&place), "{}", run.stderr);
    // Both files at once.
    folder.write("crew.toml", &sound.replace("mass_kg = 0.50", "mass_kg = -1"));
    let run = with(&folder, "top_m = -0.4", "top_m = \"low\"");
    assert!(
        run.stderr.contains("crew.toml, line") && run.stderr.contains("other.toml, line"),
        "{}",
        run.stderr
    );
    folder.write("crew.toml", "format = \"clamber-scenario/1\"\n");
    let run = folder.run(&["inspect", "culvert.toml"]);
    assert!(
        run.stderr.contains("crew.toml, line 1, format: \"clamber-scenario/1\" was found."),
        "{}",
        run.stderr
    );
}
