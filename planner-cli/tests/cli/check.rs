//! `clamber check` and `clamber schema`.

use super::scenes;
use super::support::{Folder, json};

#[test]
fn a_sound_plan_exits_with_0() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    let run = folder.run(&["check", "plan.json"]);
    assert_eq!(run.code, 0);
    assert!(run.stdout.contains("plan.json: sound"), "{}", run.stdout);
    let run = folder.run(&["check", "plan.json", "--json"]);
    let answer = json(&run.stdout);
    assert_eq!(answer["format"], "clamber-check/1");
    assert_eq!(answer["sound"], true);
    assert_eq!(answer["findings"], serde_json::json!([]));
    assert_eq!(answer["summary"], json(&folder.read("plan.json"))["summary"]);
}

#[test]
fn a_claim_that_is_wrong_names_step_value_and_limit() {
    let folder = Folder::with_plan(&["m1", "m2"]);
    folder.edit("plan.json", |plan| plan["steps"][0]["gap_m"] = 9.0.into());
    let run = folder.run(&["check", "plan.json", "--json"]);
    assert_eq!(run.code, 1);
    let answer = json(&run.stdout);
    let finding = answer["findings"].as_array().and_then(|all| all.iter().find(|f| f["step"] == 0));
    let finding = finding.expect("step 0 is found out");
    assert_eq!(finding["value"], 9.0);
    assert!(finding["limit"].is_number());
    let run = folder.run(&["check", "plan.json"]);
    assert!(run.stdout.contains("not sound"), "{}", run.stdout);
    assert!(run.stdout.contains("step 0 (m1 "), "{}", run.stdout);
}

#[test]
fn a_scenario_changed_after_planning_is_found_out() {
    let folder = Folder::with_plan(&["m1"]);
    folder.edit("plan.json", |plan| plan["scenario"]["name"] = "another".into());
    let answer = json(&folder.run(&["check", "plan.json", "--json"]).stdout);
    assert_eq!(answer["findings"][0]["rule"], "digest");
}

#[test]
fn a_scenario_that_leaves_out_defaults_is_found_out() {
    let folder = Folder::with_plan(&["m1"]);
    folder.edit("plan.json", |plan| {
        plan["scenario"].as_object_mut().expect("the scenario is a table").remove("limits");
    });
    let run = folder.run(&["check", "plan.json", "--json"]);
    assert_eq!(run.code, 1);
    let rules: Vec<_> =
        json(&run.stdout)["findings"].as_array().expect("a list").iter().map(|f| f["rule"].clone()).collect();
    assert!(rules.contains(&"scenario".into()), "{rules:?}");
}

/// Two decks of one height are one ground, so the drive ends on the second; a file that names the first is wrong.
#[test]
fn an_end_on_another_deck_of_the_ground_is_found_out() {
    let scene = scenes::drive(&["m1"])
        .replace("[-2, -1], [0, -1], [0, 1], [-2, 1]", "[-2, -1], [-1.4, -1], [-1.4, 1], [-2, 1]");
    let beside = "[[deck]]\nname = \"beside\"\noutline_m = [[-1.4, -1], [0, -1], [0, 1], [-1.4, 1]]\ntop_m = 0.0\nfriction = 0.7\n";
    let folder =
        Folder::with("culvert.toml", &scene.replace("[kind.cobble]", &format!("{beside}\n[kind.cobble]")));
    assert_eq!(folder.run(&["plan", "culvert.toml", "-o", "plan.json"]).code, 0);
    assert_eq!(json(&folder.read("plan.json"))["steps"][0]["end"]["on"], "beside");
    assert_eq!(folder.run(&["check", "plan.json"]).code, 0);
    folder.edit("plan.json", |plan| plan["steps"][0]["end"]["on"] = "apron".into());
    let run = folder.run(&["check", "plan.json", "--json"]);
    assert_eq!(run.code, 1);
    let findings = json(&run.stdout)["findings"].clone();
    assert_eq!((&findings[0]["rule"], &findings[0]["step"]), (&"end".into(), &0.into()));
}

#[test]
fn what_is_no_plan_exits_with_2() {
    let folder = Folder::with_plan(&["m1"]);
    folder.write("half.json", &folder.read("plan.json")[..200]);
    for (file, says) in
        [("half.json", "half.json, line "), ("culvert.toml", "culvert.toml is a scene, not a plan; ")]
    {
        let run = folder.run(&["check", file]);
        assert_eq!((run.code, run.stdout.as_str()), (2, ""), "{file}");
        assert!(run.stderr.contains(says), "{}", run.stderr);
    }
}

#[test]
fn schemas_are_json() {
    let folder = Folder::new();
    for (file, field) in [("scenario", "deck"), ("plan", "steps"), ("kinds", "kind")] {
        let run = folder.run(&["schema", file]);
        assert_eq!(run.code, 0);
        assert!(json(&run.stdout)["properties"][field].is_object());
        assert_eq!(folder.run(&["schema", file, "--json"]).stdout, run.stdout);
    }
    assert_eq!(folder.run(&["schema", "map"]).code, 2);
}

#[test]
fn help_has_exit_codes_examples_and_cautions() {
    let folder = Folder::new();
    let help = folder.run(&["--help"]);
    assert_eq!(help.code, 0);
    for part in ["Examples:", "Exit codes:", "Cautions:", "implants", "qualified people"] {
        assert!(help.stdout.contains(part), "{part}");
    }
    for command in ["plan", "check", "whatif", "risk", "script", "inspect", "schema"] {
        let help = folder.run(&[command, "--help"]).stdout;
        assert!(help.contains(&format!("Example: clamber {command} ")), "{help}");
        assert!(help.lines().all(|line| line.chars().count() <= 100), "{help}");
    }
}
