//! A folder of its own for each test, and the binary run in it.

use serde_json::Value;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};

/// A folder that goes when the test ends.
pub(crate) struct Folder {
    folder: tempfile::TempDir,
}

/// What a run did.
pub(crate) struct Run {
    pub(crate) code: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

impl Folder {
    pub(crate) fn new() -> Self {
        Self { folder: tempfile::tempdir().expect("there is a folder for temporary files") }
    }

    /// With one scene in it.
    pub(crate) fn with(name: &str, text: &str) -> Self {
        let folder = Self::new();
        folder.write(name, text);
        folder
    }

    /// With a sound plan, `plan.json`, for a scene in which the first module drives.
    pub(crate) fn with_plan(names: &[&str]) -> Self {
        let folder = Self::with("culvert.toml", &super::scenes::drive(names));
        let run = folder.run(&["plan", "culvert.toml", "-o", "plan.json"]);
        assert_eq!(run.code, 0, "{}{}", run.stdout, run.stderr);
        folder
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).expect("the folder can be written");
    }

    pub(crate) fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).expect("the file is there")
    }

    /// Names of the files in a subfolder, sorted.
    pub(crate) fn names(&self, name: &str) -> Vec<String> {
        let entries = std::fs::read_dir(self.path(name)).expect("the folder is there");
        let mut names: Vec<String> = entries
            .map(|entry| entry.expect("the folder can be read").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    pub(crate) fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_clamber"));
        command.args(arguments).current_dir(self.folder.path()).stdin(Stdio::null());
        command
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Run {
        Run::of(self.command(arguments).output().expect("the binary runs"))
    }

    /// Changes the JSON of a file.
    pub(crate) fn edit(&self, name: &str, change: impl FnOnce(&mut Value)) {
        let mut value = json(&self.read(name));
        change(&mut value);
        self.write(name, &value.to_string());
    }
}

impl Run {
    pub(crate) fn of(output: Output) -> Self {
        let stderr = String::from_utf8(output.stderr).expect("stderr is text");
        assert!(!stderr.contains("panicked"), "{stderr}");
        Self {
            code: output.status.code().unwrap_or(-1),
            stdout: String::from_utf8(output.stdout).expect("stdout is text"),
            stderr,
        }
    }
}

pub(crate) fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{error} in:\n{text}"))
}
