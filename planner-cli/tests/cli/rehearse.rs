//! `clamber rehearse`: crews that fail, judged; logs that play.

use super::support::{Folder, json};

#[test]
fn every_run_ends_as_it_should() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    let arguments =
        ["rehearse", "plan.json", "--runs", "30", "--faults", "cup,stall,stuck,drive,yaw,lost", "--json"];
    let run = folder.run(&arguments);
    let summary = json(&run.stdout);
    assert_eq!((run.code, &summary["broken"]), (0, &serde_json::json!([])), "{}", run.stdout);
    let count = |name: &str| summary[name].as_u64().expect("a count");
    let ends = ["finished", "part_of_goal", "stopped_safely", "overloaded_by_the_fault"];
    assert_eq!(ends.map(count).iter().sum::<u64>(), 30);
    assert!(count("finished") > 0 && count("refitted") > 0, "{summary}");
    // On any number of threads.
    let again = folder.run(&[&arguments[..], &["--threads", "3"]].concat());
    assert_eq!(again.stdout, run.stdout);
    let other = folder.run(&[&arguments[..], &["--seed", "9"]].concat());
    assert_ne!(other.stdout, run.stdout);
}

#[test]
fn nothing_fails_where_nothing_may() {
    let folder = Folder::with_plan(&["m1"]);
    let run = folder.run(&["rehearse", "plan.json", "--runs", "5", "--faults", "lost", "--jitter", "0"]);
    assert!(run.code == 0 && run.stdout.contains("5  reached the goal"), "{}", run.stdout);
}

#[test]
fn a_log_plays() {
    let folder = Folder::with_plan(&["m1"]);
    let run = folder.run(&[
        "rehearse",
        "plan.json",
        "--faults",
        "stall",
        "--runs",
        "3",
        "--log",
        "run.jsonl",
        "--log-run",
        "2",
    ]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let log = folder.read("run.jsonl");
    assert!(log.starts_with("{\"format\":\"clamber-rehearsal/1\""), "{log}");
    assert!(log.contains("\"event\":\"stalled\"") && log.contains("\"note\":\"refit\""), "{log}");
    for part in ["0", "1"] {
        let run = folder.run(&["show", "run.jsonl", "--part", part, "-o", "run.html"]);
        assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    }
    let run = folder.run(&["show", "run.jsonl", "--part", "9", "-o", "run.html"]);
    assert!(run.code == 2 && run.stderr.contains("parts 0 to"), "{}", run.stderr);
}

#[test]
fn wrong_arguments_say_what_is_allowed() {
    let folder = Folder::with_plan(&["m1"]);
    for (arguments, words) in [
        (&["--noise", "0.5"][..], "0.5mm,0.5deg"),
        (&["--jitter", "2"], "0 to below 0.95"),
        (&["--faults", "gremlins"], "stall"),
        (&["--runs", "0"], "1"),
        (&["--runs", "2", "--log", "a.jsonl", "--log-run", "2"], "runs 0 to 1"),
    ] {
        let run = folder.run(&[&["rehearse", "plan.json"], arguments].concat());
        assert!(run.code == 2 && run.stderr.contains(words), "{arguments:?}: {}", run.stderr);
    }
}
