//! `clamber inspect --module`: the accessible surface of one module, what it gets to of it, and a map.

use crate::args::InspectArgs;
use crate::failure::Failure;
use crate::scene_file::{self, SceneFile};
use crate::sort::Sort;
use crate::surface_report::report;
use crate::{exit_code, files, map, output, refusal, surface_text};
use clamber_core::unstable::motion::is_sound_at_rest;
use clamber_core::{Interrupt, ModuleId, Problem, survey};
use std::path::Path;

pub(crate) fn run(args: &InspectArgs, module: &str) -> Result<u8, Failure> {
    if let Some(target) = &args.map {
        if args.scene.len() > 1 {
            return Err(Failure::unreadable("error: --map draws one scene; give one, or leave out --map"));
        }
        files::probe(target, Sort::Picture)?;
    }
    let mut code = exit_code::DONE;
    for (index, path) in args.scene.iter().enumerate() {
        match look_at(args, path, module) {
            Ok((text, sound)) => {
                let gap = if index == 0 || args.json { "" } else { "\n" };
                output::print(&format!("{gap}{text}"))?;
                code = code.max(if sound { exit_code::DONE } else { exit_code::NOT_SOUND });
            }
            Err(failure) => {
                code = code.max(refusal::tell(failure, args.json));
            }
        }
    }
    Ok(code)
}

/// What to print for one scene, and whether its start is sound.
fn look_at(args: &InspectArgs, path: &Path, module: &str) -> Result<(String, bool), Failure> {
    let SceneFile { file, problem, .. } = scene_file::read(path)?;
    let mover = named(&problem, module, &file)?;
    let found = survey(&problem, &problem.start, mover, Interrupt::NEVER).expect("it is never stopped");
    let sound = is_sound_at_rest(&problem, &problem.start);
    if let Some(target) = &args.map {
        files::write(target, Sort::Picture, map::draw(&problem, &found))?;
    }
    let seen = report(file, &problem, &found);
    if args.json {
        return Ok((output::json_line(&seen)?, sound));
    }
    let mut text = surface_text::text(&problem, &found, &seen, args.all);
    if !sound {
        text += "the start is not sound: inspect the scene without --module to see why\n";
    }
    if let Some(target) = &args.map {
        text += &format!("map written to {}\n", files::name(target));
    }
    Ok((text, sound))
}

fn named(problem: &Problem, module: &str, file: &str) -> Result<ModuleId, Failure> {
    let found = problem.module_ids().find(|id| problem.module_name(*id) == module);
    found.ok_or_else(|| {
        let names: Vec<&str> = problem.modules.iter().take(20).map(|m| m.name.as_str()).collect();
        let more = if problem.modules.len() > names.len() { ", ..." } else { "" };
        Failure::unreadable(format!(
            "error: there is no module {module:?} in {file}; there are {}{more}: give one of them",
            names.join(", ")
        ))
    })
}
