//! Ctrl-C.
#![cfg(unix)]

use super::scenes;
use super::support::{Folder, Run, json};
use std::process::{Command, Stdio};
use std::time::Duration;

#[test]
fn the_first_interrupt_ends_the_search_with_the_best_so_far() {
    let folder = Folder::with("hard.toml", &scenes::hard());
    let mut command = folder.command(&["plan", "hard.toml", "--time", "600", "--json"]);
    let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the binary runs");
    std::thread::sleep(Duration::from_millis(1500));
    let killed =
        Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("there is kill");
    assert!(killed.success());
    let run = Run::of(child.wait_with_output().expect("the binary ends"));
    assert_eq!(run.code, 1, "{}", run.stderr);
    assert_eq!(json(&run.stdout)["status"], "cancelled");
    assert!(run.stderr.contains("not solved: interrupted"), "{}", run.stderr);
}

/// Whenever a solved scene is interrupted, there is a plan that passes the check, or none at all.
#[test]
fn an_interrupt_while_a_solution_gets_better_leaves_a_sound_plan() {
    let folder = Folder::with("stand.toml", include_str!("../../../fixtures/stand.toml"));
    for (turn, wait_ms) in [300, 900, 1800, 3000].into_iter().enumerate() {
        let name = format!("{turn}.json");
        let mut command = folder.command(&["plan", "stand.toml", "-o", &name]);
        let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the binary runs");
        std::thread::sleep(Duration::from_millis(wait_ms));
        // It may have ended by itself.
        let _ = Command::new("kill").args(["-INT", &child.id().to_string()]).status();
        let run = Run::of(child.wait_with_output().expect("the binary ends"));
        assert!(run.stderr.is_empty(), "{}", run.stderr);
        match run.code {
            0 => assert_eq!(folder.run(&["check", &name]).code, 0, "after {wait_ms} ms"),
            code => assert!(code == 1 && run.stdout.contains("not solved: interrupted"), "{}", run.stdout),
        }
    }
}
