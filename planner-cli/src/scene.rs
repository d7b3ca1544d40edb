//! `clamber scene`: a scene to begin with, or one from a seed.

use crate::args::{SceneArgs, SceneWord};
use crate::failure::Failure;
use crate::scene_template::{TEMPLATE, TEMPLATE_NAME};
use crate::sort::Sort;
use crate::{exit_code, files, output};
use clamber_core::unstable::generate::{Family, GenerateError, GenerateOptions, generate};
use clamber_core::{FileFormat, Scenario, read_scenario, write_scenario};
use serde::Serialize;

/// A scene that was made.
struct Made {
    sort: fn(FileFormat) -> Sort,
    scenario: Scenario,
    /// TOML with comments.
    text: String,
    /// Trips of a rehearsal that reached the goal.
    rehearsed: Option<usize>,
    /// What is known of it.
    known: String,
}

#[derive(Serialize)]
struct SceneEntry<'a> {
    format: &'static str,
    name: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    rehearsed_trips: Option<usize>,
    written_to: String,
}

pub(crate) fn run(args: &SceneArgs) -> Result<u8, Failure> {
    let made = match args.what {
        SceneWord::New => template(args)?,
        SceneWord::Family(family) => generated(args, family)?,
    };
    let (notation, text) = if args.json {
        let text = write_scenario(&made.scenario, FileFormat::Json);
        (FileFormat::Json, text.map_err(|error| refusal(&error.into()))?)
    } else {
        (FileFormat::Toml, made.text)
    };
    let Some(path) = &args.output else {
        output::print(&text)?;
        return Ok(exit_code::DONE);
    };
    files::write(path, (made.sort)(notation), &text)?;
    let name = &made.scenario.name;
    if args.json {
        output::print(&output::json_line(&SceneEntry {
            format: "clamber-scene/1",
            name,
            rehearsed_trips: made.rehearsed,
            written_to: path.display().to_string(),
        })?)?;
    } else {
        output::print(&format!("{}: {name}, {}\n", files::name(path), made.known))?;
    }
    Ok(exit_code::DONE)
}

fn template(args: &SceneArgs) -> Result<Made, Failure> {
    if args.modules.is_some() || args.seed.is_some() || args.kind.is_some() || args.ground.is_some() {
        return Err(Failure::unreadable(
            "error: `scene new` is the same scene every time; leave out --modules, --seed, --kind and --ground, or name a family",
        ));
    }
    let (scenario, _) = read_scenario(TEMPLATE_NAME, TEMPLATE)
        .map_err(|error| Failure::not_sound(format!("internal error: {error}; please report this")))?;
    let known = "every field is explained in it; change it, then plan it with `clamber plan`".into();
    Ok(Made { sort: Sort::NewScene, scenario, text: TEMPLATE.into(), rehearsed: None, known })
}

fn generated(args: &SceneArgs, family: Family) -> Result<Made, Failure> {
    let usual = GenerateOptions::default();
    let options = GenerateOptions {
        modules: args.modules.map_or(usual.modules, usize::from),
        seed: args.seed.unwrap_or(usual.seed),
        kinds: args.kind.unwrap_or(usual.kinds),
        ground: args.ground,
    };
    let scene = generate(family, options).map_err(|error| refusal(&error))?;
    let known = match scene.rehearsed {
        Some(trips) => format!("rehearsed in {trips} trips"),
        None => "not known whether it can be solved".into(),
    };
    let (scenario, text, rehearsed) = (scene.scenario, scene.text, scene.rehearsed);
    Ok(Made { sort: Sort::GeneratedScene, scenario, text, rehearsed, known })
}

fn refusal(error: &GenerateError) -> Failure {
    match error {
        GenerateError::Modules { family, .. } => {
            let [least, most] = family.modules();
            Failure::unreadable(format!("error: {error}; give --modules from {least} to {most}"))
        }
        GenerateError::Ground { .. } => {
            Failure::unreadable(format!("error: {error}; leave out --ground, or give another one"))
        }
        GenerateError::OneKind(_) => {
            Failure::unreadable(format!("error: {error}; give --kind cobble or --kind random"))
        }
        GenerateError::NoTask(_) => Failure::unreadable(format!("error: {error}; give another --seed")),
        GenerateError::Write(_) | GenerateError::Senseless(_) => Failure::not_sound(format!(
            "internal error: {error}; please report this with family, modules, seed, kind and ground"
        )),
    }
}
