//! The scenes of the repository.

use clamber_core::{Problem, Scenario, read_scenario};
use std::path::{Path, PathBuf};

/// All of them by name: files of the folder `fixtures`, which a test holds against this list.
pub(crate) const FIXTURES: [&str; 20] = [
    "boom",
    "boxed-in",
    "buttress",
    "cairn",
    "column",
    "ferry",
    "gate-sill",
    "headwall",
    "headwall-low",
    "outfall",
    "pair",
    "regroup",
    "row",
    "slot",
    "stand",
    "stand-tall",
    "sump",
    "too-weak",
    "twin-booms",
    "weir",
];

/// Those whose goals are proved impossible.
pub(crate) const IMPOSSIBLE: [&str; 2] = ["boxed-in", "too-weak"];

/// Those for which a search and a timing take more than a few seconds, which many tests do over and over: crews over a wall or a slot in which
/// everybody helps everybody, and the largest shape.
pub(crate) const SLOW: [&str; 4] = ["headwall", "slot", "stand-tall", "weir"];

/// Those that are planned within a few seconds: all that can be solved but the slow ones.
pub(crate) fn soon_planned() -> impl Iterator<Item = &'static str> {
    FIXTURES.into_iter().filter(|name| !IMPOSSIBLE.contains(name) && !SLOW.contains(name))
}

/// The folder that the fixtures are in.
pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures")
}

/// The text of a fixture.
pub(crate) fn text(name: &str) -> String {
    let path = folder().join(format!("{name}.toml"));
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// A fixture by name.
pub(crate) fn fixture(name: &str) -> (Scenario, Problem) {
    read_scenario(name, &text(name)).expect("fixtures are sound")
}

/// Where a fixture stands in the list.
pub(crate) fn number(name: &str) -> usize {
    FIXTURES.iter().position(|known| *known == name).expect("a fixture")
}

/// A scene in another size: lengths, speeds and torques times a factor.
pub(crate) fn resized(text: &str, factor: f64) -> String {
    let number =
        |word: &str| word.parse().map_or_else(|_| word.to_owned(), |v: f64| (v * factor).to_string());
    let line = |line: &str| match line.split_once(" = ") {
        Some((key, value)) if ["_m", "_mps", "_nm"].iter().any(|unit| key.ends_with(unit)) => {
            let spaced = value.replace('[', "[ ").replace(']', " ]").replace(',', " ,");
            format!("{key} = {}", spaced.split(' ').map(number).collect::<Vec<_>>().join(" "))
        }
        _ => line.to_owned(),
    };
    text.lines().map(line).collect::<Vec<_>>().join("\n")
}
