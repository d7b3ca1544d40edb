//! `clamber risk`: exit codes, files of scatter, JSON.

use super::support::{Folder, json};

const SCATTER: &str = "\
format = \"clamber-scatter/1\"
magnet_cv = 0.1
cup_cv = 0.2
place_mm = 1.0

[[scenario]]
name = \"ice\"
friction = 0.02
tilt_deg = 2.0
probability = 0.01
";

/// A module on bare ground has nothing that scatters; on ice it slips.
#[test]
fn a_file_of_scatter_is_read_and_repeated() {
    let folder = Folder::with_plan(&["m1"]);
    folder.write("scatter.toml", SCATTER);
    let run = folder.run(&["risk", "plan.json", "--scatter", "scatter.toml", "--json"]);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let answer = json(&run.stdout);
    assert_eq!(answer["format"], "clamber-risk/1");
    assert_eq!(answer["scatter"]["cup_cv"], 0.2);
    assert_eq!(answer["scatter"]["mass_cv"], 0.02);
    assert_eq!(answer["chance"]["fails"], 0.0);
    let scenarios = answer["scenarios"].as_array().expect("a list");
    assert_eq!(scenarios.len(), 4);
    assert_eq!((&scenarios[3]["name"], &scenarios[3]["verdict"]), (&"ice".into(), &"falls".into()));
    assert_eq!(scenarios[3]["probability"], 0.01);
    let again = folder.run(&["risk", "plan.json", "--scatter", "scatter.toml", "--json"]);
    assert_eq!(again.stdout, run.stdout);
    let text = folder.run(&["risk", "plan.json", "--scatter", "scatter.toml"]).stdout;
    assert!(text.contains("common cause") && text.contains("ice"), "{text}");
}

#[test]
fn wrong_figures_name_file_line_and_field() {
    let folder = Folder::with_plan(&["m1"]);
    folder.write(
        "scatter.toml",
        &SCATTER.replace("friction = 0.02", "friction = -1").replace("0.1\n", "3.0\n"),
    );
    let run = folder.run(&["risk", "plan.json", "--scatter", "scatter.toml"]);
    assert_eq!(run.code, 2);
    for part in ["scatter.toml, line 2", "magnet_cv", "scenario[0].friction", "-1 was found", "is allowed"] {
        assert!(run.stderr.contains(part), "{part}: {}", run.stderr);
    }
    folder.write("scatter.toml", &SCATTER.replace("cup_cv", "cup_cw"));
    let run = folder.run(&["risk", "plan.json", "--scatter", "scatter.toml"]);
    assert!(run.code == 2 && run.stderr.contains("cup_cw"), "{}", run.stderr);
    let run = folder.run(&["risk", "plan.json"]);
    assert!(run.code == 2 && run.stderr.contains("--hold-cv"), "{}", run.stderr);
    assert_eq!(folder.run(&["risk", "plan.json", "--hold-cv", "-1"]).code, 2);
}
