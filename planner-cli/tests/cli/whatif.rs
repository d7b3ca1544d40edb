//! `clamber whatif`: exit codes, the table, JSON.

use super::support::{Folder, json};

/// One module that drives over bare ground: nothing holds it but weight, so nothing can let go.
#[test]
fn a_crew_on_bare_ground_stands_with_any_failure() {
    let folder = Folder::with_plan(&["m1"]);
    let run = folder.run(&["whatif", "plan.json"]);
    assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
    assert!(
        run.stdout.contains("bond lets go") && run.stdout.contains("stands with any one"),
        "{}",
        run.stdout
    );
    let answer = json(&folder.run(&["whatif", "plan.json", "--json"]).stdout);
    assert_eq!(answer["format"], "clamber-whatif/1");
    assert_eq!(answer["verdict"], "stands");
    assert_eq!(answer["failures"].as_array().map(Vec::len), Some(3));
    let only = json(&folder.run(&["whatif", "plan.json", "--json", "--of", "cup,touch"]).stdout);
    assert_eq!(only["failures"].as_array().map(Vec::len), Some(1));
    assert_eq!(only["stalls"], serde_json::json!([]));
}

#[test]
fn what_is_not_sound_or_no_plan_is_refused() {
    let folder = Folder::with_plan(&["m1"]);
    assert_eq!(folder.run(&["whatif", "culvert.toml"]).code, 2);
    assert_eq!(folder.run(&["whatif", "plan.json", "--of", "leg"]).code, 2);
    folder.edit("plan.json", |plan| plan["scenario"]["name"] = "another".into());
    let run = folder.run(&["whatif", "plan.json", "--json"]);
    assert_eq!(run.code, 1);
    assert!(run.stderr.contains("clamber check plan.json"), "{}", run.stderr);
    assert_eq!(json(&run.stdout)["format"], "clamber-refusal/1");
}
