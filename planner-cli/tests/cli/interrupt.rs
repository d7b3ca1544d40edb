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
