//! Ctrl-C, and SIGTERM, by which schedulers ask a program to end.
#![cfg(unix)]

use super::scenes;
use super::support::{Folder, Run, json};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A plan that stands in the way.
const KEPT: &str = "{\"format\":\"clamber-plan/2\"}";

/// Sends a signal; whether there was still somebody to hear it.
fn send(signal: &str, child: &Child) -> bool {
    let id = child.id().to_string();
    Command::new("kill").args([signal, &id]).stderr(Stdio::null()).status().expect("there is kill").success()
}

#[test]
fn the_first_interrupt_ends_the_search_with_the_best_so_far() {
    for signal in ["-INT", "-TERM"] {
        let folder = Folder::with("hard.toml", &scenes::hard());
        let mut command = folder.command(&["plan", "hard.toml", "--time", "600", "--json"]);
        let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the binary runs");
        std::thread::sleep(Duration::from_millis(1500));
        assert!(send(signal, &child));
        let run = Run::of(child.wait_with_output().expect("the binary ends"));
        assert_eq!(run.code, 1, "{signal}: {}", run.stderr);
        assert_eq!(json(&run.stdout)["status"], "cancelled", "{signal}");
        assert!(run.stderr.contains("not solved: interrupted"), "{signal}: {}", run.stderr);
    }
}

/// Whatever is under way: the second ends it, and what stands in the file stays.
#[test]
fn the_second_interrupt_ends_the_program() {
    let folder = Folder::with("headwall.toml", include_str!("../../../fixtures/headwall.toml"));
    folder.write("plan.json", KEPT);
    for wait_ms in [150, 400] {
        let mut command = folder.command(&["plan", "headwall.toml", "--time", "600", "-o", "plan.json"]);
        let child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the binary runs");
        std::thread::sleep(Duration::from_millis(wait_ms));
        send("-INT", &child);
        std::thread::sleep(Duration::from_millis(20));
        send("-TERM", &child);
        let run = Run::of(child.wait_with_output().expect("the binary ends"));
        // A quick machine may have an answer before.
        if run.code == 130 {
            assert_eq!(folder.read("plan.json"), KEPT);
            assert!(run.stdout.is_empty(), "{}", run.stdout);
        } else {
            assert!(run.code <= 1, "{}: {}", run.code, run.stderr);
            folder.write("plan.json", KEPT);
        }
    }
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
        send("-INT", &child);
        let run = Run::of(child.wait_with_output().expect("the binary ends"));
        // On a slow machine the check of what was found takes longer than a moment, and it says so.
        let said = run.stderr.trim_end();
        assert!(
            said.is_empty() || (said.starts_with("checking what") && said.lines().count() == 1),
            "{said}"
        );
        match run.code {
            0 => assert_eq!(folder.run(&["check", &name]).code, 0, "after {wait_ms} ms"),
            code => assert!(code == 1 && run.stdout.contains("not solved: interrupted"), "{}", run.stdout),
        }
    }
}
