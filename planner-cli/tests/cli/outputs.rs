//! A file is replaced only by one of its own sort, and the ending of a name fits what is written.

use super::races::Suite;
use super::scenes;
use super::support::Folder;

/// One file of every sort, each made by clamber or, for scene and suite, by hand.
fn one_of_each() -> Folder {
    let folder = Suite::new(&[("short", scenes::drive(&["m1", "m2"]))]).folder();
    for arguments in [
        &["plan", "short.toml", "-o", "plan.json"][..],
        &["scene", "climb", "-o", "climb.toml"],
        &["scene", "climb", "--json", "-o", "climb.json"],
        &["scene", "new", "-o", "new.toml"],
        &["inspect", "short.toml", "--module", "m1", "--map", "map.svg"],
        &["script", "plan.json", "-o", "lists", "--timeline", "time.svg"],
        &["script", "plan.json", "-o", "lines", "--format", "jsonl"],
        &["show", "plan.json", "-o", "page.html"],
        &["show", "plan.json", "-o", "model.gltf"],
        &["show", "plan.json", "-o", "model.glb"],
        &["bench", "suite.toml", "-o", "results.jsonl"],
        &["bench", "report", "results.jsonl", "-o", "report"],
        &["manual", "-o", "man"],
    ] {
        let run = folder.run(arguments);
        assert_eq!(run.code, 0, "{arguments:?}: {}", run.stderr);
    }
    folder
}

const FILES: [(&str, &str); 16] = [
    ("short.toml", "a scene"),
    ("suite.toml", "a suite"),
    ("plan.json", "a plan"),
    ("climb.toml", "a generated scene"),
    ("climb.json", "a generated scene"),
    ("new.toml", "a new scene"),
    ("map.svg", "a picture (SVG)"),
    ("time.svg", "a picture (SVG)"),
    ("lists/m1.csv", "a move list (CSV)"),
    ("lines/m1.jsonl", "a move list (JSON lines)"),
    ("page.html", "a page (HTML)"),
    ("model.gltf", "a model (glTF)"),
    ("results.jsonl", "a results file"),
    ("report/runs.csv", "a table of a report (CSV)"),
    ("report/report.md", "a report (Markdown)"),
    ("man/clamber-plan.1", "a manual page"),
];

#[test]
fn no_file_is_replaced_by_one_of_another_sort() {
    let folder = one_of_each();
    let writers: [(&[&str], &str); 7] = [
        (&["plan", "short.toml", "-o"], "a plan"),
        (&["scene", "reach", "-o"], "a generated scene"),
        (&["scene", "new", "-o"], "a new scene"),
        (&["inspect", "short.toml", "--module", "m1", "--map"], "a picture (SVG)"),
        (&["script", "plan.json", "--timeline"], "a picture (SVG)"),
        (&["bench", "suite.toml", "-o"], "a results file"),
        (&["bench", "merge", "results.jsonl", "-o"], "a results file"),
    ];
    for (file, is) in FILES {
        let before = folder.read(file);
        for (arguments, writes) in writers {
            if is == writes {
                continue;
            }
            let run = folder.run(&[arguments, &[file]].concat());
            assert_eq!(run.code, 2, "{arguments:?} {file}: {}", run.stderr);
            let says =
                format!("error: {file} is {is}, and {writes} would be written over it; give another file, ");
            let says_itself = format!("{file} is the scene itself");
            assert!(
                run.stderr.contains(&says) || run.stderr.contains(&says_itself),
                "{says}: {}",
                run.stderr
            );
            assert_eq!(folder.read(file), before, "{arguments:?}");
        }
    }
    for (file, made) in [("notes.html", "my notes"), ("notes.glb", "my notes")] {
        folder.write(file, made);
        let run = folder.run(&["show", "plan.json", "-o", file]);
        assert!(run.code == 2 && run.stderr.contains("a file that clamber did not make"), "{}", run.stderr);
        assert_eq!(folder.read(file), made);
    }
}

#[test]
fn a_file_is_replaced_by_one_of_its_own_sort_and_an_empty_one_by_any() {
    let folder = one_of_each();
    folder.write("empty.json", "");
    for arguments in [
        &["plan", "short.toml", "-o", "plan.json"][..],
        &["plan", "short.toml", "-o", "empty.json"],
        &["plan", "short.toml", "-o", "no-ending"],
        &["scene", "reach", "-o", "climb.toml"],
        &["scene", "reach", "--json", "-o", "climb.json"],
        &["scene", "new", "-o", "new.toml"],
        &["inspect", "short.toml", "--module", "m2", "--map", "time.svg"],
        &["script", "plan.json", "-o", "lists", "--timeline", "map.svg"],
        &["script", "plan.json", "-o", "lines", "--format", "jsonl"],
        &["show", "short.toml", "-o", "page.html"],
        &["show", "short.toml", "-o", "model.gltf"],
        &["show", "short.toml", "-o", "model.glb"],
        &["bench", "merge", "results.jsonl", "-o", "other.jsonl"],
        &["bench", "merge", "results.jsonl", "-o", "other.jsonl"],
        &["bench", "report", "results.jsonl", "-o", "report"],
        &["manual", "-o", "man"],
    ] {
        let run = folder.run(arguments);
        assert_eq!(run.code, 0, "{arguments:?}: {}", run.stderr);
    }
    assert!(folder.names(".").iter().all(|name| !name.starts_with('.')), "no temporary file is left");
}

/// What somebody has made of a new scene, or of one from a seed under a name of its own, is theirs.
#[test]
fn a_scene_that_was_changed_is_kept() {
    let folder = one_of_each();
    folder.write("new.toml", &folder.read("new.toml").replace("name = \"m3\"", "name = \"m4\""));
    folder.write(
        "climb.toml",
        &folder.read("climb.toml").replace("name = \"climb 6 1\"", "name = \"our climb\""),
    );
    for arguments in [["scene", "new", "-o", "new.toml"], ["scene", "climb", "-o", "climb.toml"]] {
        let run = folder.run(&arguments);
        assert!(run.code == 2 && run.stderr.contains(" is a scene, and "), "{}", run.stderr);
    }
}

#[test]
fn the_ending_of_a_name_fits_what_is_written() {
    let folder = Folder::with_plan(&["m1"]);
    for (arguments, endings) in [
        (&["inspect", "culvert.toml", "--module", "m1", "--map", "x.png"][..], ".svg"),
        (&["script", "plan.json", "--timeline", "x.png"], ".svg"),
        (&["plan", "culvert.toml", "-o", "x.toml"], ".json"),
        (&["scene", "climb", "-o", "x.json"], ".toml"),
        (&["scene", "climb", "--json", "-o", "x.toml"], ".json"),
        (&["scene", "new", "-o", "x.svg"], ".toml"),
        (&["bench", "merge", "results.jsonl", "-o", "x.csv"], ".jsonl or .ndjson"),
        (&["plan", "culvert.toml", "-o", "-"], ".json"),
    ] {
        let before = folder.names(".");
        if arguments[1] == "merge" {
            folder.write("results.jsonl", "");
        }
        let run = folder.run(arguments);
        assert_eq!(run.code, 2, "{arguments:?}: {}", run.stdout);
        assert!(run.stderr.contains(&format!("a name that ends in {endings}")), "{}", run.stderr);
        assert!(folder.names(".").len() <= before.len() + 1);
        assert!(!folder.path(arguments[arguments.len() - 1]).exists(), "{arguments:?}");
    }
}
