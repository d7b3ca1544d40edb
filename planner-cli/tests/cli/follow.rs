//! `clamber follow`: lines in, lines out, and what is kept in between.

use super::support::{Folder, Run, json};
use serde_json::{Value, json as value};
use std::io::Write;
use std::process::Stdio;

/// What is answered to some lines, one value for each answer, and the exit code.
fn answers(folder: &Folder, arguments: &[&str], lines: &[Value]) -> (Vec<Value>, i32) {
    let text: String = lines.iter().map(|line| format!("{line}\n")).collect();
    answered(folder, arguments, &text)
}

fn answered(folder: &Folder, arguments: &[&str], text: &str) -> (Vec<Value>, i32) {
    let mut command = folder.command(arguments);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("the binary runs");
    // It may end before it has read all.
    let _ = child.stdin.take().expect("a pipe").write_all(text.as_bytes());
    let run = Run::of(child.wait_with_output().expect("the binary ends"));
    (run.stdout.lines().map(json).collect(), run.code)
}

fn commands(answers: &[Value]) -> Vec<(String, u64)> {
    let commands = answers.iter().filter(|answer| answer["answer"] == "command");
    commands
        .map(|c| (c["command"].as_str().unwrap_or_default().to_owned(), c["step"].as_u64().unwrap_or(99)))
        .collect()
}

/// Each step started and ended as soon as it may be.
fn obedient(folder: &Folder) -> Vec<Value> {
    let plan = json(&folder.read("plan.json"));
    let steps = plan["steps"].as_array().expect("steps");
    let mut order: Vec<usize> = (0..steps.len()).collect();
    order.sort_by(|&a, &b| {
        steps[a]["start_s"].as_f64().partial_cmp(&steps[b]["start_s"].as_f64()).expect("numbers")
    });
    let both =
        |step: usize| [value!({"event": "started", "step": step}), value!({"event": "ended", "step": step})];
    order.into_iter().flat_map(both).collect()
}

#[test]
fn a_crew_that_obeys_gets_to_the_goal() {
    let folder = Folder::with_plan(&["m1"]);
    let (told, code) = answers(&folder, &["follow", "plan.json"], &obedient(&folder));
    assert_eq!(code, 0);
    assert_eq!((&told[0]["answer"], &told[0]["format"]), (&"following".into(), &"clamber-follow/1".into()));
    assert_eq!(told.last(), Some(&value!({"answer": "done", "goal_is_met": true})));
    assert!(told.iter().all(|answer| answer["answer"] != "refused"), "{told:?}");
}

/// Whatever the line, the run goes on, and what was known stays.
#[test]
fn lines_that_make_no_sense_are_refused_by_name() {
    let folder = Folder::with_plan(&["m1"]);
    let lines = [
        ("nonsense", "line", "no JSON", "one JSON object"),
        ("[1]", "line", "[1]", "one JSON object"),
        (r#"{"step": 0}"#, "event", "nothing", "started, share"),
        (r#"{"event": "begun", "step": 0}"#, "event", "begun", "started, share"),
        (r#"{"event": "started"}"#, "step", "nothing", "must be there"),
        (r#"{"event": "started", "stp": 0}"#, "stp", "unknown field", "`step`"),
        (r#"{"event": "started", "step": -1}"#, "step", "-1", "whole number"),
        (r#"{"event": "started", "step": 999}"#, "step", "999", "0 to "),
        (r#"{"event": "lost", "module": "zz", "part": "cup"}"#, "module", "zz", "m1"),
        (r#"{"event": "lost", "module": "m1", "part": "nose"}"#, "part", "nose", "drive"),
        (r#"{"event": "measured", "poses": []}"#, "poses", "none of m1", "one for each module"),
        (
            r#"{"event": "measured", "poses": [{"module": "m1", "position_m": [0, 0, "x"], "orientation_xyzw": [0, 0, 0, 1]}]}"#,
            "poses[0].position_m[2]",
            "x",
            "a number",
        ),
        (
            r#"{"event": "measured", "poses": [{"module": "m1", "position_m": [0, 0, 0], "orientation_xyzw": [0, 0, 0, 2]}]}"#,
            "orientation",
            "2",
            "",
        ),
    ];
    let mut text: String = lines.iter().map(|(line, ..)| format!("{line}\n")).collect();
    text += "{\"event\": \"started\", \"step\": 0}\n{\"event\": \"share\", \"step\": 0, \"share\": 1.5}\n{\"event\": \"started\", \"step\": 0}\n";
    let (told, code) = answered(&folder, &["follow", "plan.json"], &text);
    assert_eq!(code, 1);
    let refused: Vec<&Value> = told.iter().filter(|answer| answer["answer"] == "refused").collect();
    assert_eq!(refused.len(), lines.len() + 2, "{refused:#?}");
    for (number, ((line, field, found, allowed), refusal)) in lines.iter().zip(&refused).enumerate() {
        let part = |name: &str| refusal[name].as_str().unwrap_or_default().to_owned();
        assert_eq!(refusal["line"], number + 1);
        assert!(part("field").contains(field), "{line}: {refusal}");
        assert!(part("found").contains(found) && part("allowed").contains(allowed), "{line}: {refusal}");
    }
    assert_eq!(
        (&refused[lines.len()]["field"], &refused[lines.len()]["found"]),
        (&"share".into(), &"1.5".into())
    );
    assert!(refused[lines.len() + 1]["message"].as_str().expect("words").contains("was not to"));
}

/// Killed after any event, and started again from the state that was written, it gives the commands that it would have given.
#[test]
fn the_state_gives_the_same_commands_again() {
    let folder = Folder::with_plan(&["m1"]);
    let events = obedient(&folder);
    for cut in 0..events.len() {
        let (whole, _) = answers(&folder, &["follow", "plan.json"], &events[..cut]);
        let (first, code) =
            answers(&folder, &["follow", "plan.json", "--state", "state.json"], &events[..cut]);
        assert_eq!((commands(&first), code), (commands(&whole), 1));
        let (again, _) = answers(&folder, &["follow", "plan.json", "--state", "state.json"], &[]);
        let (_, rest) = answers(&folder, &["follow", "plan.json", "--state", "state.json"], &events[cut..]);
        assert_eq!(rest, 0, "after {cut} events");
        let steps = |answer: &Value| answer["steps"].clone();
        let (fresh, _) = answers(&folder, &["follow", "plan.json"], &events[..cut]);
        if let (Some(last), false) = (commands(&fresh).last(), cut == 0) {
            assert!(commands(&again).contains(last) || steps(&again[0]) != steps(&fresh[0]), "{again:?}");
        }
        std::fs::remove_file(folder.path("state.json")).expect("it was written");
    }
}

#[test]
fn a_state_of_another_plan_is_refused() {
    let folder = Folder::with_plan(&["m1"]);
    answers(&folder, &["follow", "plan.json", "--state", "state.json"], &[]);
    folder.edit("plan.json", |plan| plan["planner"]["seed"] = 7.into());
    let run = folder.run(&["follow", "plan.json", "--state", "state.json"]);
    assert!(run.code == 2 && run.stderr.contains("the state of another plan file"), "{}", run.stderr);
    folder.write("state.json", "{\"format\": \"clamber-follow-state/9\"}");
    let run = folder.run(&["follow", "plan.json", "--state", "state.json"]);
    assert!(run.code == 2 && run.stderr.contains("no state that can be read"), "{}", run.stderr);
    let run = folder.run(&["follow", "plan.json", "--state", "culvert.toml"]);
    assert!(run.code == 2 && run.stderr.contains("is a scene"), "{}", run.stderr);
}

/// A drive stops half-way, is measured, and goes on with the rest of it.
#[test]
fn a_stall_is_recovered_from() {
    let folder = Folder::with_plan(&["m1"]);
    let plan = json(&folder.read("plan.json"));
    let steps = plan["steps"].as_array().expect("steps");
    let slide = steps.iter().position(|step| step["move"] == "slide").expect("it drives");
    let mut events: Vec<Value> = obedient(&folder);
    events.truncate(2 * slide);
    events.push(value!({"event": "started", "step": slide}));
    events.push(value!({"event": "stalled", "step": slide, "share": 0.5}));
    // Where half of the drive ends.
    let begin = match slide {
        0 => [-1.5, 0.05, 0.06],
        n => {
            let end = &steps[n - 1]["end"]["position_m"];
            [0, 1, 2].map(|i| end[i].as_f64().expect("a number"))
        }
    };
    let end = &steps[slide]["end"];
    let half =
        [0, 1, 2].map(|i| f64::midpoint(begin[i], end["position_m"][i].as_f64().expect("a number")) + 0.2e-3);
    let pose = value!({"module": "m1", "position_m": half, "orientation_xyzw": end["orientation_xyzw"]});
    events.push(value!({"event": "measured", "poses": [pose]}));
    events.push(value!({"event": "recover", "poses": [pose]}));
    let (told, _) = answers(&folder, &["follow", "plan.json", "--state", "state.json"], &events);
    let place = told.iter().find(|answer| answer["answer"] == "where").expect("it is measured");
    assert!(place["poses"][0]["residual_m"].as_f64().expect("a number") < 1e-3, "{place}");
    let next = told.iter().find(|answer| answer["answer"] == "follow").unwrap_or_else(|| panic!("{told:#?}"));
    folder.write("next.json", &next["file"].to_string());
    assert_eq!(folder.run(&["check", "next.json"]).code, 0);
    // The state holds the new plan.
    let (again, _) = answers(&folder, &["follow", "plan.json", "--state", "state.json"], &[]);
    assert_eq!(again[0]["plan"], 1);
    assert!(!commands(&again).is_empty());
}
