//! `clamber ground`. How well it fits is tested in its own crate and, against other programs, in `tests/outside`.

use super::support::{Folder, json};

/// A floor and a step, 0.8 m by 0.4 m.
fn step() -> Folder {
    let row = format!("{} {}\n", ["0.001"; 20].join(" "), ["0.2"; 20].join(" "));
    let head = "ncols 40\nnrows 20\nxllcorner 0\nyllcorner 0\ncellsize 0.02\n";
    Folder::with("step.asc", &format!("{head}{}", row.repeat(20)))
}

const FIT: [&str; 7] = ["step.asc", "--tolerance", "0.003", "--accuracy", "0.0", "--foot-radius", "0.04"];

fn ground<'a>(more: &[&'a str]) -> Vec<&'a str> {
    ["ground"].into_iter().chain(FIT).chain(more.iter().copied()).collect()
}

#[test]
fn a_survey_becomes_the_beginning_of_a_scene() {
    let folder = step();
    let run = folder.run(&ground(&["-o", "site.toml", "--friction", "0.6", "--picture", "site.svg"]));
    assert_eq!((run.code, run.stderr.as_str()), (0, ""), "{}", run.stdout);
    assert!(
        run.stdout.starts_with("step.asc: height grid, 800 cells 20 mm wide, 0.32 m² seen from above\n"),
        "{}",
        run.stdout
    );
    assert!(run.stdout.contains("site.toml: 2 facets; 2 decks\n"), "{}", run.stdout);
    assert!(run.stdout.lines().all(|line| line.chars().count() <= 150), "{}", run.stdout);
    let site = folder.read("site.toml");
    assert!(
        site.contains(
            "outline_m = [[0, 0], [0.4, 0], [0.4, 0.4], [0, 0.4]]\ntop_m = 0.001\nfriction = 0.6\n"
        ),
        "{site}"
    );
    assert!(folder.read("site.svg").contains("facet-2"));
    // With a kind, a module and a goal it is a scene like any other.
    let template = folder.run(&["scene", "new"]).stdout;
    let kind =
        template.split("[kind.cobble]").nth(1).and_then(|rest| rest.split("\n\n").next()).expect("a kind");
    let module = "[[module]]\nname = \"m1\"\nkind = \"cobble\"\non = \"facet-1\"\nat_m = [0.2, 0.2]\n";
    folder.write("whole.toml", &format!("{site}\n[kind.cobble]{kind}\n\n{module}"));
    let inspected = folder.run(&["inspect", "whole.toml"]);
    assert_eq!(inspected.code, 0, "{}{}", inspected.stdout, inspected.stderr);
    // The foot may come from there too.
    let run = folder.run(&[
        "ground",
        "step.asc",
        "-o",
        "site.toml",
        "--tolerance",
        "0.003",
        "--accuracy",
        "unknown",
        "--kind",
        "whole.toml",
    ]);
    assert!(
        run.code == 0 && run.stdout.contains("accuracy unknown, foot radius 40 mm"),
        "{}{}",
        run.stdout,
        run.stderr
    );
    assert!(folder.read("site.toml").contains("# friction =          # fill in"));
}

#[test]
fn the_json_has_all_figures() {
    let folder = step();
    let run = folder.run(&ground(&["-o", "site.toml", "--json"]));
    let said = json(&run.stdout);
    assert_eq!(said["format"], "clamber-ground/1");
    assert_eq!(said["surfaces"][1]["height_m"], 0.2);
    assert_eq!(said["meetings"][0]["least_step_m"], 0.199);
    assert_eq!(said["written_to"][0], "site.toml");
}

#[test]
fn scenes_of_people_are_not_replaced() {
    let folder = step();
    folder.write("mine.toml", "format = \"clamber-scenario/1\"\nname = \"mine\"\n");
    let run = folder.run(&ground(&["-o", "mine.toml"]));
    assert_eq!(run.code, 2);
    assert!(
        run.stderr.contains("mine.toml is a scene, and the ground of a survey would be written over it"),
        "{}",
        run.stderr
    );
    // Its own scene is, as long as it has its name.
    for _ in 0..2 {
        assert_eq!(folder.run(&ground(&["-o", "site.toml"])).code, 0);
    }
}

#[test]
fn what_is_wrong_with_a_survey_is_said() {
    let folder = step();
    folder.write("cut.asc", &folder.read("step.asc")[..900]);
    let run = folder.run(&[
        "ground",
        "cut.asc",
        "-o",
        "site.toml",
        "--tolerance",
        "0.003",
        "--accuracy",
        "0",
        "--foot-radius",
        "0.04",
    ]);
    assert_eq!((run.code, run.stdout.as_str()), (2, ""));
    assert_eq!(
        run.stderr,
        "error: cut.asc, heights: the file ends after 168 heights.\n\
         40 columns and 20 rows ask for 800. Copy the whole file, or mend ncols and nrows.\n"
    );
    folder.write("mesh.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n");
    let run = folder.run(&[
        "ground",
        "mesh.obj",
        "-o",
        "site.toml",
        "--tolerance",
        "0.003",
        "--accuracy",
        "0",
        "--foot-radius",
        "0.04",
        "--json",
    ]);
    assert_eq!(run.code, 2);
    assert_eq!(json(&run.stdout)["problems"][0]["field"], "--unit");
    for (arguments, words) in [
        (&["--window", "1", "0", "0", "1"][..], "--window has no area"),
        (&["--cell", "0.1"][..], "cells can be chosen for meshes"),
        (&["--friction", "-1"][..], "give a friction from 0 to 10"),
    ] {
        let run = folder.run(&ground(&[&["-o", "site.toml"], arguments].concat()));
        assert!(run.code == 2 && run.stderr.to_lowercase().contains(&words.to_lowercase()), "{}", run.stderr);
    }
    assert!(!folder.path("site.toml").exists());
}
