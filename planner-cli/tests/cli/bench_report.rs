//! `clamber bench merge`, `clamber bench report`, and the schemas.

use super::races::{Suite, rows, words};
use super::scenes;
use super::support::{Folder, json};
use serde_json::Value;
use std::path::Path;

fn raced() -> Folder {
    let folder =
        Suite::new(&[("short", scenes::drive(&["m1"])), ("long", scenes::drive(&["m1", "m2"]))]).folder();
    let run = folder.run(&["bench", "suite.toml", "-o", "r.jsonl", "--jobs", "2"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    folder
}

/// Changes rows one by one.
fn changed(text: &str, change: impl Fn(&mut Value)) -> String {
    let lines = rows(text).into_iter().map(|mut row| {
        change(&mut row);
        row.to_string() + "\n"
    });
    lines.collect()
}

#[test]
fn a_report_is_the_same_every_time_and_fetches_nothing() {
    let folder = raced();
    for name in ["a", "b"] {
        let run = folder.run(&["bench", "report", "r.jsonl", "-o", name]);
        assert_eq!((run.code, run.stdout.as_str()), (0, ""), "{}", run.stderr);
    }
    assert_eq!(
        folder.names("a"),
        ["differences.csv", "planners.csv", "report.html", "report.md", "runs.csv"]
    );
    for name in folder.names("a") {
        assert_eq!(folder.read(&format!("a/{name}")), folder.read(&format!("b/{name}")), "{name}");
    }
    let page = folder.read("a/report.html");
    for what in words("http:|https:|<script|<link|@import|url(|NaN|inf") {
        assert!(!page.contains(what), "{what}");
    }
    let count = rows(&folder.read("r.jsonl")).len();
    let said = format!("All {count} plans that count as solved have passed the check");
    assert!(page.contains(&said) && folder.read("a/report.md").contains(&said));
    assert_eq!(page.matches("<svg").count(), page.matches("</svg>").count());
    let printed = folder.run(&["bench", "report", "r.jsonl"]);
    assert_eq!(printed.stdout, folder.read("a/report.md"));
}

#[test]
fn a_plan_that_fails_the_check_is_told_and_voids_its_scene() {
    let folder = raced();
    let broken = changed(&folder.read("r.jsonl"), |row| {
        if row["planner"] == "astar" && row["scene"] == "long" && row["seed"] == 1 {
            row["status"] = "not_sound".into();
            row["checked"] = false.into();
            row.as_object_mut().expect("a row").remove("plan");
        }
    });
    folder.write("r.jsonl", &broken);
    let figures = json(&folder.run(&["bench", "report", "r.jsonl", "--json"]).stdout);
    assert_eq!(figures["not_sound_plans"], 1);
    let astar = figures["planners"].as_array().and_then(|all| all.iter().find(|p| p["name"] == "astar"));
    let astar = astar.expect("there is astar");
    assert_eq!(astar["void_scenes"], 1);
    assert_eq!(astar["endings"]["not_sound"], 1);
    assert!(astar["quality"]["makespan"].as_f64() <= Some(1.0), "{astar}");
    assert_eq!(astar["solved"]["value"], 0.75);
    let text = folder.run(&["bench", "report", "r.jsonl"]).stdout;
    assert!(text.contains("1 plan failed it and counts for nothing"), "{text}");
    assert!(text.contains("Wrong answer: astar on long: 1 of 2 plans did not pass the check"), "{text}");
}

#[test]
fn a_proof_against_a_plan_is_a_wrong_answer() {
    let folder = raced();
    let broken = changed(&folder.read("r.jsonl"), |row| {
        if row["planner"] == "taking-apart" && row["scene"] == "short" {
            row["status"] = "proved_impossible".into();
            for gone in ["plan", "checked"] {
                row.as_object_mut().expect("a row").remove(gone);
            }
        }
    });
    folder.write("r.jsonl", &broken);
    let text = folder.run(&["bench", "report", "r.jsonl"]).stdout;
    assert!(text.contains("taking-apart on short: calls it impossible, and there is a plan"), "{text}");
}

#[test]
fn rows_that_contradict_each_other_are_not_merged() {
    let folder = raced();
    let text = folder.read("r.jsonl");
    folder.write("other.jsonl", &changed(&text, |row| row["wall_s"] = 1e3.into()));
    let run = folder.run(&["bench", "merge", "r.jsonl", "other.jsonl", "-o", "all.jsonl"]);
    assert_eq!(run.code, 0, "times may differ: {}", run.stderr);
    let earlier = folder.read("all.jsonl");
    folder.write("other.jsonl", &changed(&text, |row| row["plan"]["makespan_s"] = 1e3.into()));
    let run = folder.run(&["bench", "merge", "r.jsonl", "other.jsonl", "-o", "all.jsonl"]);
    assert_eq!(run.code, 1);
    assert!(run.stderr.contains("disagree about its plan"), "{}", run.stderr);
    assert_eq!(folder.read("all.jsonl"), earlier, "the earlier file stays whole");
    let run = folder.run(&["bench", "merge", "r.jsonl", "other.jsonl", "-o", "r.jsonl"]);
    assert_eq!(run.code, 2);
    assert_eq!(folder.read("r.jsonl"), text);
}

#[test]
fn an_unfair_race_is_not_reported() {
    let folder = raced();
    let text = folder.read("r.jsonl");
    folder.write("slow.jsonl", &changed(&text, |row| row["time_limit_s"] = 99.into()));
    let run = folder.run(&["bench", "report", "r.jsonl", "slow.jsonl"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("different limits"), "{}", run.stderr);
    folder.write("none.jsonl", "");
    assert_eq!(folder.run(&["bench", "report", "none.jsonl"]).code, 2);
    let half: String = text.split_inclusive('\n').skip(1).collect();
    folder.write("half.jsonl", &half);
    let told = folder.run(&["bench", "report", "half.jsonl"]).stdout;
    assert!(told.contains("Not all planners have all runs"), "{told}");
}

/// `CLAMBER_BLESS=1` rewrites the schemas; then read the diff.
#[test]
fn the_committed_schemas_are_up_to_date() {
    let folder = Folder::new();
    for name in ["suite", "results", "whatif", "risk", "envelope", "follow"] {
        let printed = folder.run(&["schema", name]).stdout;
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("schema/{name}.schema.json"));
        if std::env::var_os("CLAMBER_BLESS").is_some() {
            std::fs::write(&path, &printed).expect("the schema can be written");
        }
        let committed = std::fs::read_to_string(&path).unwrap_or_default();
        assert_eq!(committed, printed, "{}: run with CLAMBER_BLESS=1", path.display());
    }
}
