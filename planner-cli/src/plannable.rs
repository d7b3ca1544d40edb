//! What keeps a scene from being planned at all, with the place in its file.

use crate::failure::{Failure, Trouble};
use crate::scene_file::SceneFile;
use clamber_core::Body;
use clamber_core::unstable::motion::{Fault, faults_at_rest};
use clamber_core::unstable::scene::module_line;

/// Refuses a scene without a goal, and one whose start is not sound.
pub(crate) fn check(scene: &SceneFile) -> Result<(), Failure> {
    let SceneFile { file, problem, .. } = scene;
    if problem.goal.is_empty() {
        return Err(Failure::unreadable(format!(
            "error: {file}: the scene has no goal; add [[goal.slot]] or [goal.gather], as `clamber scene new` shows"
        )));
    }
    let faults = faults_at_rest(problem, &problem.start);
    let Some(first) = faults.first() else { return Ok(()) };
    let further = match faults.len() - 1 {
        0 => String::new(),
        more => format!(" ({more} more)"),
    };
    let text = format!(
        "error: {}: the start is not sound: {}{further}; mend how the crew stands there: `clamber inspect {file}` shows all of it",
        place(scene, first),
        first.describe(problem)
    );
    Err(Failure::not_sound(text).with(faults.iter().map(|fault| trouble(scene, fault))))
}

/// `culvert.toml, line 48`, where the module is named that a fault is about.
fn place(scene: &SceneFile, fault: &Fault) -> String {
    line(scene, fault).map_or_else(|| scene.file.clone(), |line| format!("{}, line {line}", scene.file))
}

fn line(scene: &SceneFile, fault: &Fault) -> Option<usize> {
    let module = fault.bodies().into_iter().find_map(Body::module)?;
    module_line(&scene.file, &scene.text, scene.problem.module_name(module))
}

fn trouble(scene: &SceneFile, fault: &Fault) -> Trouble {
    let found = fault.describe(&scene.problem);
    Trouble {
        file: Some(scene.file.clone()),
        line: line(scene, fault),
        message: format!("{}: the start is not sound: {found}", place(scene, fault)),
        found: Some(found),
        to_do: Some("mend how the crew stands there".into()),
        ..Trouble::default()
    }
}
