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

#[test]
fn what_is_not_allowed_is_refused() {
    let folder = Folder::new();
    for (arguments, says) in [
        (["scene", "heap", "--modules", "5"], "scattered-to-shape"),
        (["scene", "climb", "--modules", "3"], "4..=12"),
        (["scene", "climb", "--modules", "13"], "4..=12"),
    ] {
        let run = folder.run(&arguments);
        assert!(run.code == 2 && run.stdout.is_empty() && run.stderr.contains(says), "{}", run.stderr);
    }
}
