//! Small suites, and what is the same in two races.

use super::support::{Folder, json};
use serde_json::Value;

/// The planners of the suites here: what is tested does not depend on which there are besides.
pub(crate) const PLANNERS: &str = "planner = [{ name = \"astar\" }, { name = \"taking-apart\" }]";
pub(crate) const ASTAR: &str = "planner = [{ name = \"astar\" }]";

/// A suite of scenes that take some milliseconds.
pub(crate) struct Suite {
    folder: Folder,
    text: String,
}

impl Suite {
    pub(crate) fn new(scenes: &[(&str, String)]) -> Self {
        let folder = Folder::new();
        for (name, scene) in scenes {
            // Scenes have names of their own.
            folder.write(
                &format!("{name}.toml"),
                &scene.replace("survey crew", &format!("{name} survey crew")),
            );
        }
        let names: Vec<String> = scenes.iter().map(|(name, _)| format!("\"{name}.toml\"")).collect();
        let text = format!(
            "format = \"clamber-suite/1\"\nname = \"small\"\nscenes = [{}]\nseeds = [1, 2]\nrepeats = 1\n{PLANNERS}\n\n[limits]\ntime_s = 20\ngrace_s = 20\n",
            names.join(", ")
        );
        Self { folder, text }
    }

    pub(crate) fn with(self, old: &str, new: &str) -> Self {
        assert!(self.text.contains(old), "{old}");
        Self { text: self.text.replace(old, new), ..self }
    }

    pub(crate) fn folder(self) -> Folder {
        self.folder.write("suite.toml", &self.text);
        self.folder
    }
}

/// The rows of a results file; a torn last line is none.
pub(crate) fn rows(text: &str) -> Vec<Value> {
    text.split_inclusive('\n').filter(|line| line.ends_with('\n')).map(json).collect()
}

/// The results table of a report, without what is measured.
pub(crate) fn table(folder: &Folder, results: &[&str]) -> String {
    let arguments: Vec<&str> = ["bench", "report", "-o", "table"].iter().chain(results).copied().collect();
    let run = folder.run(&arguments);
    assert_eq!(run.code, 0, "{}", run.stderr);
    let text = folder.read("table/runs.csv");
    let heading = text.lines().next().expect("a heading");
    let measured = heading.split(',').position(|name| name == "time_s").expect("times");
    let columns = |line: &str| line.split(',').take(measured).collect::<Vec<_>>().join(",");
    text.lines().map(columns).collect::<Vec<_>>().join("\n")
}

/// Words with bars between them.
pub(crate) fn words(text: &str) -> std::str::Split<'_, char> {
    text.split('|')
}
