//! `clamber scene`: a scene from a seed.

use crate::args::SceneArgs;
use crate::failure::Failure;
use crate::{exit_code, files, output};
use clamber_core::unstable::generate::{GenerateError, generate};
use clamber_core::{FileFormat, write_scenario};

pub(crate) fn run(args: &SceneArgs) -> Result<u8, Failure> {
    let failure = |error: GenerateError| Failure::unreadable(format!("error: {error}"));
    let scene = generate(args.family, usize::from(args.modules), args.seed).map_err(failure)?;
    let text = if args.json {
        write_scenario(&scene.scenario, FileFormat::Json).map_err(|error| failure(error.into()))?
    } else {
        scene.text
    };
    match &args.output {
        None => output::print(&text)?,
        Some(path) => {
            files::write_whole(path, &text)?;
            let known = match scene.rehearsed {
                Some(trips) => format!("rehearsed in {trips} trips"),
                None => "not known whether it can be solved".into(),
            };
            output::print(&format!("{}: {}, {known}\n", files::name(path), scene.scenario.name))?;
        }
    }
    Ok(exit_code::DONE)
}
