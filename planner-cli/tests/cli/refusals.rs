//! What is refused, and what is said of it: to people and to programs.

use super::scenes;
use super::support::{Folder, json};

#[test]
fn a_refused_file_gives_json_with_every_problem() {
    let folder = Folder::with("b.toml", &scenes::broken());
    for command in ["plan", "inspect"] {
        let run = folder.run(&[command, "b.toml", "--json"]);
        assert_eq!(run.code, 2);
        let refusal = json(&run.stdout);
        assert_eq!(refusal["format"], "clamber-refusal/1");
        let problems = refusal["problems"].as_array().expect("a list");
        assert_eq!(run.stderr.matches("b.toml, line ").count(), problems.len());
        let mass =
            problems.iter().find(|problem| problem["field"] == "kind.cobble.mass_kg").expect("the mass");
        assert_eq!(
            (&mass["file"], &mass["line"], &mass["column"]),
            (&"b.toml".into(), &21.into(), &11.into())
        );
        assert_eq!(mass["found"], "\"half\" was found");
        assert_eq!(mass["allowed"], "a number from 1e-6 up to 1000000 is allowed");
        assert_eq!(mass["to_do"], "give the mass without payload in kilograms");
        assert_eq!(mass["message"], "b.toml, line 21, kind.cobble.mass_kg: \"half\" was found.");
    }
}

#[test]
fn whatever_is_refused_gives_json() {
    let folder = Folder::with_plan(&["m1"]);
    folder.write("suite.toml", "format = \"clamber-suite/1\"\n");
    folder.write("unsound.toml", &scenes::unsound());
    for arguments in [
        &["plan", "nowhere.toml", "--json"][..],
        &["plan", "unsound.toml", "--json"],
        &["plan", "plan.json", "--json"],
        &["check", "culvert.toml", "--json"],
        &["script", "culvert.toml", "--json"],
        &["script", "plan.json", "--timeline", "plan.json", "--json"],
        &["show", "suite.toml", "-o", "page.html", "--json"],
        &["inspect", "culvert.toml", "--module", "m9", "--json"],
        &["scene", "climb", "-o", "culvert.toml", "--json"],
        &["bench", "suite.toml", "-o", "r.jsonl", "--json"],
        &["bench", "merge", "culvert.toml", "-o", "r.jsonl", "--json"],
        &["bench", "report", "culvert.toml", "--json"],
    ] {
        let run = folder.run(arguments);
        assert!(run.code == 2 || run.code == 1, "{arguments:?}: {}", run.stderr);
        let refusal = json(&run.stdout);
        let message = refusal["problems"][0]["message"].as_str().unwrap_or_default();
        assert!(!message.is_empty() && !message.starts_with("error"), "{arguments:?}: {refusal}");
    }
}

#[test]
fn merge_answers_in_json() {
    let folder = super::races::Suite::new(&[("short", scenes::drive(&["m1"]))]).folder();
    assert_eq!(folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]).code, 0);
    let run = folder.run(&["bench", "merge", "r.jsonl", "r.jsonl", "-o", "all.jsonl", "--json"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let answer = json(&run.stdout);
    assert_eq!((&answer["rows"], &answer["twice"]), (&4.into(), &4.into()));
    assert_eq!(answer["written_to"], "all.jsonl");
}

#[test]
fn a_scene_for_a_plan_and_a_plan_for_a_scene_are_called_what_they_are() {
    let folder = Folder::with_plan(&["m1"]);
    folder.write("culvert.json", &folder.run(&["scene", "climb", "--json"]).stdout);
    folder.write("broken.toml", &(scenes::drive(&["m1"]) + "\n[deck\n"));
    for file in ["culvert.toml", "culvert.json", "broken.toml"] {
        for command in ["check", "script"] {
            let run = folder.run(&[command, file]);
            assert_eq!(run.code, 2);
            let says = format!("not a plan; make a plan of it with `clamber plan {file} -o plan.json`");
            assert!(run.stderr.contains(&says), "{}", run.stderr);
            assert_eq!(run.stderr.lines().count(), 1, "{}", run.stderr);
        }
    }
    for command in ["plan", "inspect"] {
        let run = folder.run(&[command, "plan.json"]);
        assert!(run.stderr.contains("plan.json is a plan, not a scene; "), "{}", run.stderr);
    }
}

#[test]
fn an_unsound_start_is_refused_with_file_and_line() {
    let scene = scenes::unsound();
    let folder = Folder::with("c.toml", &scene);
    let run = folder.run(&["plan", "c.toml"]);
    assert_eq!(run.code, 1);
    let named = |module: &str| {
        1 + scene.lines().position(|line| line == format!("name = \"{module}\"")).expect("a line")
    };
    let says =
        ["m1", "m2"].map(|module| format!("error: c.toml, line {}: the start is not sound: ", named(module)));
    assert!(says.iter().any(|says| run.stderr.contains(says)), "{}", run.stderr);
    assert!(
        run.stderr.contains("overlaps") && run.stderr.contains("`clamber inspect c.toml`"),
        "{}",
        run.stderr
    );
    let run = folder.run(&["plan", "c.toml", "--json"]);
    let problem = &json(&run.stdout)["problems"][0];
    assert!(["m1", "m2"].iter().any(|module| problem["line"] == named(module)), "{problem}");
    folder.write("aimless.toml", &scenes::crew(&["m1"]));
    let run = folder.run(&["plan", "aimless.toml"]);
    assert!(
        run.code == 2 && run.stderr.contains("aimless.toml: the scene has no goal; add "),
        "{}",
        run.stderr
    );
}

#[test]
fn what_the_system_says_is_told_in_words() {
    let folder = Folder::with_plan(&["m1"]);
    folder.write("file", "");
    for folder_name in ["file", "file/below"] {
        let run = folder.run(&["script", "plan.json", "-o", folder_name]);
        assert_eq!(run.code, 2);
        assert!(!run.stderr.contains("os error"), "{}", run.stderr);
        assert!(run.stderr.contains(" file") && run.stderr.contains("choose another"), "{}", run.stderr);
    }
}

/// The words of the plan format are for programs.
#[test]
fn no_page_and_no_text_says_budget_spent() {
    let folder = Folder::with_plan(&["m1"]);
    folder.edit("plan.json", |plan| plan["status"] = "budget_spent".into());
    let run = folder.run(&["show", "plan.json", "-o", "page.html"]);
    assert_eq!(run.code, 1, "{}", run.stderr);
    assert!(!(run.stdout + &run.stderr + &folder.read("page.html")).contains("budget_spent"));
    for command in ["check", "script"] {
        let run = folder.run(&[command, "plan.json"]);
        assert_eq!(run.code, 1);
        assert!(!(run.stdout + &run.stderr).contains("budget_spent"));
    }
}
