//! Reads a scene, with the files of kinds beside it.

use crate::failure::Failure;
use crate::sort::Sort;
use crate::{diagnostics, files};
use clamber_core::unstable::scene::read_scenario_with;
use clamber_core::{Problem, Scenario};
use std::path::Path;

/// A scene that has been read.
pub(crate) struct SceneFile {
    /// What the file is called in messages.
    pub(crate) file: String,
    pub(crate) text: String,
    pub(crate) scenario: Scenario,
    pub(crate) problem: Problem,
}

/// Reads a file, or stdin for `-`.
pub(crate) fn read(path: &Path) -> Result<SceneFile, Failure> {
    of_text(path, files::read_text(path)?)
}

/// The same for a text that was read from there.
pub(crate) fn of_text(path: &Path, text: String) -> Result<SceneFile, Failure> {
    let file = files::name(path);
    if let Some(found) = Sort::of(text.as_bytes()).filter(|sort| !sort.is_scene()) {
        let to_do = match found {
            Sort::Plan => format!("give the scene, or check the plan with `clamber check {file}`"),
            _ => "give a scene, as `clamber scene new` makes one".into(),
        };
        return Err(diagnostics::wrong_sort(&file, found, "a scene", to_do));
    }
    let (scenario, problem) = read_scenario_with(&file, &text, &|name| beside(path, name))
        .map_err(|found| diagnostics::failure(&found, &file))?;
    Ok(SceneFile { file, text, scenario, problem })
}

/// The text of a file beside a scene.
fn beside(scene: &Path, name: &str) -> Result<String, String> {
    if files::is_stdin(scene) {
        return Err("a scene from stdin has no files beside it".into());
    }
    files::read_plainly(&scene.with_file_name(name))
}
