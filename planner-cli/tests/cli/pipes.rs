//! Readers that go away, and text on stdin.

use super::support::{Folder, Run};
use std::process::Stdio;

#[test]
fn a_closed_stdout_is_no_panic() {
    let folder = Folder::with_plan(&["m1"]);
    for arguments in [
        &["schema", "plan"][..],
        &["inspect", "culvert.toml"],
        &["check", "plan.json"],
        &["script", "plan.json"],
        &["plan", "culvert.toml"],
        &["--help"],
    ] {
        let (reader, writer) = std::io::pipe().expect("there are pipes");
        drop(reader);
        let mut command = folder.command(arguments);
        let child = command.stdout(writer).stderr(Stdio::piped()).spawn().expect("the binary runs");
        let run = Run::of(child.wait_with_output().expect("the binary ends"));
        assert_eq!(run.code, 0, "{arguments:?}: {}", run.stderr);
    }
}

#[test]
fn a_dash_is_stdin() {
    let folder = Folder::with_plan(&["m1"]);
    let mut command = folder.command(&["check", "-"]);
    command.stdin(std::fs::File::open(folder.path("plan.json")).expect("the plan is there"));
    let run = Run::of(command.output().expect("the binary runs"));
    assert_eq!(run.code, 0, "{}", run.stderr);
    assert!(run.stdout.contains("<stdin>: sound"), "{}", run.stdout);
}
