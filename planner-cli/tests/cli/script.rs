//! `clamber script`.

use super::support::{Folder, json};

const ODD: [&str; 7] = ["m/1", "..", "M2", "m2", "con", "a b, \"c\"", "größe"];

#[test]
fn odd_names_make_safe_files_and_exact_cells() {
    let folder = Folder::with_plan(&ODD);
    let run = folder.run(&["script", "plan.json", "-o", "out"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let names = folder.names("out");
    assert_eq!(names.len(), ODD.len());
    for name in &names {
        let safe = |c: char| c.is_ascii_alphanumeric() || "._-%".contains(c);
        assert!(name.chars().all(safe) && !name.starts_with('.') && name.ends_with(".csv"), "{name}");
    }
    let mut reader = csv::Reader::from_path(folder.path("out").join("m%2F1.csv")).expect("m/1 has a list");
    let rows: Vec<_> = reader.records().map(|row| row.expect("the row can be read")).collect();
    assert!(!rows.is_empty() && rows.iter().all(|row| &row[0] == "m/1"));
    assert_eq!(folder.read("out/%2E..csv").lines().count(), 1, "a header for a module that never moves");
}

#[test]
fn csv_on_stdout_has_one_header() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    let run = folder.run(&["script", "plan.json"]);
    let lines: Vec<_> = run.stdout.lines().collect();
    assert!(lines[0].starts_with("module,step,start_s,duration_s,move,"), "{}", lines[0]);
    let steps = json(&folder.read("plan.json"))["steps"].as_array().map_or(0, Vec::len);
    assert_eq!(lines.len(), 1 + steps);
    assert!(
        run.stderr.starts_with("no common clock is needed") && run.stderr.contains("\nCaution: "),
        "{}",
        run.stderr
    );
}

#[test]
fn jsonl_and_json_can_be_parsed() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    let run = folder.run(&["script", "plan.json", "--format", "jsonl"]);
    assert!(run.stdout.lines().map(json).all(|line| line["module"] == "m1" && line["end"]["on"] == "apron"));
    let run = folder.run(&["script", "plan.json", "-o", "out", "--json"]);
    let answer = json(&run.stdout);
    assert_eq!(answer["format"], "clamber-script/1");
    assert_eq!(answer["scripts"][1]["module"], "m2");
    assert_eq!(folder.names("out"), ["m1.csv", "m2.csv"]);
}

#[test]
fn names_that_a_spreadsheet_would_run_are_refused_in_csv_only() {
    let folder = Folder::with_plan(&["m1", "=1+2"]);
    let run = folder.run(&["script", "plan.json"]);
    assert_eq!((run.code, run.stdout.as_str()), (2, ""));
    assert!(run.stderr.contains("--format jsonl"), "{}", run.stderr);
    assert_eq!(folder.run(&["script", "plan.json", "-o", "out", "--format", "jsonl"]).code, 0);
    assert_eq!(folder.names("out"), ["%3D1%2B2.jsonl", "m1.jsonl"]);
}

#[test]
fn an_unsound_plan_makes_no_scripts() {
    let folder = Folder::with_plan(&["m1"]);
    folder.edit("plan.json", |plan| plan["steps"][0]["start_s"] = 1.0.into());
    for arguments in
        [&["script", "plan.json", "-o", "out"][..], &["script", "plan.json", "-o", "out", "--json"]]
    {
        let run = folder.run(arguments);
        assert_eq!(run.code, 1, "{}", run.stdout);
        assert!(run.stderr.contains("no scripts were made"), "{}", run.stderr);
        assert!(!folder.path("out").exists());
    }
}

#[test]
fn lists_of_another_plan_are_not_mixed_in() {
    let folder = Folder::with_plan(&["m1"]);
    std::fs::create_dir(folder.path("out")).expect("the folder can be made");
    folder.write("out/m7.csv", "module,step\n");
    let run = folder.run(&["script", "plan.json", "-o", "out"]);
    assert_eq!(run.code, 2);
    assert!(run.stderr.contains("m7.csv"), "{}", run.stderr);
    assert_eq!(folder.names("out"), ["m7.csv"]);
}

/// Two modules that keep out of each other's way move together; the plan needs no common clock, and its picture has a bar for every step.
#[test]
fn a_script_says_what_waits_for_what_and_draws_it() {
    let folder = Folder::with("pair.toml", include_str!("../../../fixtures/pair.toml"));
    assert_eq!(folder.run(&["plan", "pair.toml", "-o", "plan.json"]).code, 0);
    let run = folder.run(&["script", "plan.json", "--json", "--timeline", "plan.svg"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let answer = json(&run.stdout);
    assert_eq!(answer["needs_clock"], false);
    let scripts = answer["scripts"].as_array().expect("scripts");
    let moves: Vec<_> = scripts.iter().flat_map(|s| s["moves"].as_array().expect("moves")).collect();
    let plan = json(&folder.read("plan.json"));
    let steps = plan["steps"].as_array().expect("steps");
    assert_eq!(moves.len(), steps.len());
    for one in &moves {
        for event in one["waits_for"].as_array().expect("events") {
            let step = event["step"].as_u64().expect("a number") as usize;
            assert_eq!(event["module"], steps[step]["module"]);
            let waited = moves.iter().find(|m| m["step"] == event["step"]).expect("the step");
            let signals = waited["signals"].as_array().expect("events");
            assert!(signals.iter().any(|s| s["step"] == one["step"]), "{waited}");
        }
        let stopped = if one["move"] == "hop" { "between_hosts" } else { "stands" };
        assert_eq!(one["if_stopped"], stopped);
    }
    let picture = folder.read("plan.svg");
    for step in steps {
        let word = step["move"].as_str().expect("a word");
        assert!(picture.contains(&format!("class=\"{word}\"")), "{word}");
    }
    let bars = picture.lines().filter(|l| l.starts_with("<rect") && l.contains("height=\"18\"")).count();
    let critical = picture.lines().filter(|l| l.contains("height=\"18\" class=\"critical\"")).count();
    assert_eq!(bars - critical, steps.len());
    assert!(critical > 0);
    assert!(picture.contains("Caution"));
}

/// A plan that rests on its start times alone says so.
#[test]
fn a_plan_without_its_waits_needs_the_clock() {
    let folder = Folder::with("pair.toml", include_str!("../../../fixtures/pair.toml"));
    assert_eq!(folder.run(&["plan", "pair.toml", "-o", "plan.json"]).code, 0);
    folder.edit("plan.json", |plan| {
        for step in plan["steps"].as_array_mut().expect("steps") {
            step["after"] = serde_json::json!([]);
        }
    });
    let run = folder.run(&["script", "plan.json", "--format", "jsonl"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    assert!(run.stderr.contains("a common clock is needed: step "), "{}", run.stderr);
    assert!(run.stdout.contains("\"if_stopped\":\"not_proven\""), "{}", run.stdout);
}
