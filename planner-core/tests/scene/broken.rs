//! A corpus of broken files, each with the messages it must give, word for word.

use crate::support::{compare, here};
use clamber_core::{Diagnostics, read_plan, read_scenario};
use std::path::PathBuf;

fn corpus() -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(here("tests/broken"))
        .expect("the corpus is there")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "toml" || extension == "json"))
        .collect();
    files.sort();
    files
}

/// The problems of a file of the corpus; those called `plan_…` are plans.
fn problems(name: &str, text: &str) -> Option<Diagnostics> {
    if name.starts_with("plan_") { read_plan(name, text).err() } else { read_scenario(name, text).err() }
}

#[test]
fn every_broken_file_gives_its_messages() {
    let files = corpus();
    assert!(files.len() >= 60, "only {} files", files.len());
    let mut wrong = Vec::new();
    for path in files {
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        let text = std::fs::read_to_string(&path).expect("a text");
        let Some(problems) = problems(&name, &text) else {
            wrong.push(format!("{name} was read without complaint"));
            continue;
        };
        wrong.extend(compare(&path.with_extension("expected"), &format!("{problems}\n")).err());
        for problem in &problems {
            let line = text.lines().nth(problem.line - 1).unwrap_or("");
            let told = [&problem.found, &problem.allowed, &problem.help].iter().all(|part| !part.is_empty());
            if !told || problem.column > line.chars().count() + 1 || problem.file != name {
                wrong.push(format!("{name}: half a message: {problem}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn every_expectation_belongs_to_a_file() {
    for entry in std::fs::read_dir(here("tests/broken")).expect("the corpus is there") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|extension| extension == "expected") {
            assert!(
                path.with_extension("toml").exists() || path.with_extension("json").exists(),
                "{}",
                path.display()
            );
        }
    }
}
