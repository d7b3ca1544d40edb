//! No number is printed as a negative zero.

use super::races::Suite;
use super::scenes;
use super::support::Folder;

/// Whether some number is `-0`, `-0.0` and so on.
fn has_negative_zero(text: &str) -> bool {
    let is_part = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '+' | '_');
    let words = text.split(|c: char| !is_part(c));
    words
        .filter_map(|word| word.strip_prefix('-'))
        .any(|zero| zero.starts_with('0') && zero.chars().all(|c| matches!(c, '0' | '.')))
}

/// Modules that look along -x and stand at -0.
fn scene() -> String {
    scenes::drive(&["m1", "m2"])
        .replace("at_m = [-1.3, 0.05]", "at_m = [-1.3, -0.0]")
        .replace("at_m = [-1.5, -0.08]", "at_m = [-1.6, -0.0]\nfacing = [-1, -0.0, -0.0]")
        .replace("at_m = [-1.5, 0.05]", "at_m = [-1.4, -0.0]\nfacing = [-0.0, -1, -0.0]")
        .replace("top_m = 0.0", "top_m = -0.0")
}

#[test]
fn tables_json_and_csv_have_no_negative_zero() {
    assert!(has_negative_zero("a -0.0") && has_negative_zero("[-0,1]") && !has_negative_zero("-0.01 10-0"));
    let folder = Folder::with("culvert.toml", &scene());
    folder.write("still.toml", &scene().replace("[-1.3, -0.0]", "[-1.4, -0.0]"));
    for arguments in [
        &["plan", "still.toml", "-o", "still.json"][..],
        &["plan", "still.toml", "--json"],
        &["check", "still.json"],
        &["check", "still.json", "--json"],
        &["plan", "culvert.toml", "-o", "plan.json"],
        &["plan", "culvert.toml", "--json"],
        &["check", "plan.json", "--json"],
        &["script", "plan.json"],
        &["script", "plan.json", "--json"],
        &["script", "plan.json", "--format", "jsonl"],
        &["script", "plan.json", "--timeline", "time.svg"],
        &["inspect", "culvert.toml"],
        &["inspect", "culvert.toml", "--json"],
        &["inspect", "culvert.toml", "--module", "m1"],
        &["inspect", "culvert.toml", "--module", "m1", "--json"],
        &["show", "plan.json", "-o", "model.gltf", "--json"],
    ] {
        let run = folder.run(arguments);
        assert_eq!(run.code, 0, "{arguments:?}: {}", run.stderr);
        assert!(!has_negative_zero(&run.stdout), "{arguments:?}: {}", run.stdout);
    }
    for file in ["plan.json", "still.json", "time.svg"] {
        assert!(!has_negative_zero(&folder.read(file)), "{file}");
    }
    let page = folder.run(&["show", "still.json", "-o", "page.html"]);
    assert_eq!(page.code, 0, "{}", page.stderr);
    assert!(!folder.read("page.html").contains("-0 J"));
}

#[test]
fn reports_have_no_negative_zero() {
    let still = scenes::drive(&["m1"]).replace("[-1.3, 0.05]", "[-1.5, 0.05]");
    let folder = Suite::new(&[("still", still)]).folder();
    assert_eq!(folder.run(&["bench", "suite.toml", "-o", "r.jsonl"]).code, 0);
    assert!(!has_negative_zero(&folder.read("r.jsonl")), "{}", folder.read("r.jsonl"));
    let report = folder.run(&["bench", "report", "r.jsonl", "-o", "report", "--json"]);
    assert_eq!(report.code, 0, "{}", report.stderr);
    assert!(!has_negative_zero(&report.stdout), "{}", report.stdout);
    for file in ["runs.csv", "planners.csv", "differences.csv", "report.md"] {
        assert!(!has_negative_zero(&folder.read(&format!("report/{file}"))), "{file}");
    }
}
