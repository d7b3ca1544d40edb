//! `clamber ground`: decks and stones from a survey.

mod args;
mod entry;
mod picture;
mod report;

pub(crate) use args::GroundArgs;

use crate::failure::{Failure, Trouble};
use crate::sort::{SURVEYED, Sort};
use crate::{exit_code, files, output};
use args::{Accuracy, UpWord};
use clamber_ground::{
    FitOptions, Ground, Placing, Surfacing, SurveyError, SurveyFormat, Up, Window, fit_ground, read_survey,
    scene_text,
};
use std::path::Path;

/// A survey that was fitted, and what was asked for.
struct Fitted<'a> {
    args: &'a GroundArgs,
    /// What the survey is called in messages.
    file: String,
    /// Height grid, mesh or point cloud.
    form: &'static str,
    options: FitOptions,
    surfacing: Surfacing,
    ground: Ground,
    notes: Vec<String>,
}

pub(crate) fn run(args: &GroundArgs) -> Result<u8, Failure> {
    files::probe(&args.output, Sort::SurveyedScene)?;
    if let Some(picture) = &args.picture {
        files::probe(picture, Sort::Picture)?;
    }
    let fitted = fitted(args)?;
    let name = format!("{SURVEYED}{}", plain(&args.survey));
    let text = scene_text(&fitted.ground, &fitted.surfacing, &name, &report::head(&fitted));
    files::write(&args.output, Sort::SurveyedScene, text)?;
    if let Some(path) = &args.picture {
        files::write(path, Sort::Picture, picture::draw(&fitted))?;
    }
    output::print(&if args.json {
        output::json_line(&entry::entry(&fitted))?
    } else {
        report::text(&fitted)
    })?;
    let keeps = fitted.ground.surfaces.iter().all(|surface| surface.breaches == 0);
    Ok(if keeps { exit_code::DONE } else { exit_code::NOT_SOUND })
}

fn fitted(args: &GroundArgs) -> Result<Fitted<'_>, Failure> {
    let file = files::name(&args.survey);
    let refused = |error: SurveyError| refusal(&file, &error);
    let options = FitOptions {
        tolerance_m: args.tolerance,
        foot_radius_m: foot_radius(args)?,
        accuracy_m: match args.accuracy {
            Accuracy::Known(accuracy) => Some(accuracy),
            Accuracy::Unknown => None,
        },
        cell_m: args.cell,
    };
    let format = match args.format.or_else(|| of_name(&args.survey)) {
        Some(format) => format,
        None => {
            return Err(Failure::unreadable(format!(
                "error: {file}: its name does not say its format; give --format asc, stl, obj, ply or las"
            )));
        }
    };
    let bytes = files::read_survey(&args.survey)?;
    let (survey, mut notes) = read_survey(&bytes, format, &placing(args)?).map_err(refused)?;
    let ground = fit_ground(&survey, &options).map_err(refused)?;
    notes.extend(ground.notes.iter().cloned());
    let surfacing = Surfacing { friction: args.friction, ferrous: args.ferrous, sealable: args.sealable };
    Ok(Fitted { args, file, form: survey.word(), options, surfacing, ground, notes })
}

fn of_name(path: &Path) -> Option<SurveyFormat> {
    SurveyFormat::of_ending(&path.extension()?.to_string_lossy())
}

/// The name of a file without its folder, as it may stand in a scene.
fn plain(path: &Path) -> String {
    let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
    name.chars().filter(|c| !c.is_control()).take(100).collect()
}

fn placing(args: &GroundArgs) -> Result<Placing, Failure> {
    let window = match args.window.as_deref() {
        Some(&[x0, y0, x1, y1]) if x0 < x1 && y0 < y1 => Some(Window { low: [x0, y0], high: [x1, y1] }),
        None => None,
        Some(_) => {
            return Err(Failure::unreadable(
                "error: --window has no area; give the least x and y, then the greatest: X0 Y0 X1 Y1",
            ));
        }
    };
    let origin =
        args.origin.as_deref().and_then(|origin| <[f64; 3]>::try_from(origin).ok()).unwrap_or_default();
    let up = match args.up {
        UpWord::Z => Up::Z,
        UpWord::Y => Up::Y,
    };
    Ok(Placing { unit: args.unit, up, origin: origin.into(), window, ceiling_m: args.ceiling })
}

/// The radius that was given, or the largest of a file of kinds.
fn foot_radius(args: &GroundArgs) -> Result<f64, Failure> {
    let Some(path) = &args.kind else {
        return args.foot_radius.ok_or_else(|| Failure::unreadable("error: give --foot-radius or --kind"));
    };
    let (file, text) = (files::name(path), files::read_text(path)?);
    let wrong = |why: String| {
        Failure::unreadable(format!(
            "error: {file}: {why}; give a file with [kind.NAME] and foot_radius_m, or --foot-radius"
        ))
    };
    let tree: toml::Table = if text.trim_start().starts_with('{') {
        serde_json::from_str(&text).map_err(|error| wrong(error.to_string()))?
    } else {
        toml::from_str(&text).map_err(|error| wrong(error.message().to_owned()))?
    };
    let kinds = tree.get("kind").and_then(toml::Value::as_table);
    let feet = kinds.into_iter().flat_map(toml::Table::values).filter_map(|kind| {
        let radius = kind.get("foot_radius_m")?;
        radius.as_float().or_else(|| radius.as_integer().map(|value| value as f64))
    });
    let largest = feet.filter(|radius| *radius > 0.0 && radius.is_finite()).max_by(f64::total_cmp);
    largest.ok_or_else(|| wrong("it has no kind with a foot_radius_m".into()))
}

fn refusal(file: &str, error: &SurveyError) -> Failure {
    let SurveyError { line, field, found, allowed, to_do } = error.clone();
    let place = line.map_or_else(String::new, |line| format!(", line {line}"));
    let field_words = if field == "file" { String::new() } else { format!(", {field}") };
    let message = format!("{file}{place}{field_words}: {found}");
    Failure::unreadable(format!("error: {message}.\n{}", crate::diagnostics::sentences([&allowed, &to_do])))
        .with([Trouble {
            file: Some(file.into()),
            line,
            field: Some(field),
            found: Some(found),
            allowed: Some(allowed),
            to_do: Some(to_do),
            message,
            ..Trouble::default()
        }])
}
