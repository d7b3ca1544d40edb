//! `clamber completions` and `clamber manual`.

use super::support::{Folder, json};

const COMMANDS: [&str; 17] = [
    "rate",
    "inspect",
    "plan",
    "check",
    "whatif",
    "risk",
    "script",
    "follow",
    "rehearse",
    "scene",
    "ground",
    "show",
    "schema",
    "completions",
    "envelope",
    "manual",
    "bench",
];

#[test]
fn every_shell_gets_completions_of_every_command() {
    let folder = Folder::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let run = folder.run(&["completions", shell]);
        assert_eq!((run.code, run.stderr.as_str()), (0, ""), "{shell}");
        for word in COMMANDS.iter().chain(&["goal-of"]) {
            assert!(run.stdout.contains(word), "{shell}: {word}");
        }
        assert!(!run.stdout.contains("bench-single"), "{shell}");
    }
    assert_eq!(folder.run(&["completions", "cmd"]).code, 2);
}

#[test]
fn every_command_has_a_manual_page() {
    let folder = Folder::new();
    let run = folder.run(&["manual", "-o", "man"]);
    assert_eq!((run.code, run.stderr.as_str()), (0, ""));
    let mut expected: Vec<String> = COMMANDS.iter().map(|command| format!("clamber-{command}.1")).collect();
    expected.extend(["clamber.1", "clamber-bench-merge.1", "clamber-bench-report.1"].map(str::to_owned));
    expected.sort();
    assert_eq!(folder.names("man"), expected);
    let page = folder.read("man/clamber-plan.1");
    assert!(page.contains(".TH clamber-plan 1") && page.contains("trade\\-offs"), "{page}");
    assert!(folder.read("man/clamber.1").contains("Exit codes:"));
    let again = folder.run(&["manual", "-o", "man", "--json"]);
    assert_eq!(again.code, 0, "{}", again.stderr);
    assert_eq!(json(&again.stdout)["written_to"].as_array().map(Vec::len), Some(expected.len()));
}
