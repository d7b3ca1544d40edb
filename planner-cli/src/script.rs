//! `clamber script`: one move list for each module of a sound plan.

use crate::args::{ScriptArgs, ScriptFormat};
use crate::examine::{Examined, examine};
use crate::failure::Failure;
use crate::findings::{self, FindingEntry};
use crate::move_list::{MoveList, csv, jsonl, move_lists, refuse_formulas};
use crate::script_names::file_stems;
use crate::sort::Sort;
use crate::{cautions, exit_code, files, output, survival, timeline, wording};
use clamber_core::Interrupt;
use clamber_core::unstable::schedule::first_step_that_needs_the_clock;
use serde::Serialize;
use std::path::{Path, PathBuf};

#[derive(Serialize)]
struct ScriptEntry<'a> {
    format: &'static str,
    file: &'a str,
    scenario_sha256: &'a str,
    sound: bool,
    findings: Vec<FindingEntry>,
    /// Whether the start times have to be kept; if not, waiting for the steps in `after` is enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    needs_clock: Option<bool>,
    scripts: Vec<ListEntry<'a>>,
}

#[derive(Serialize)]
struct ListEntry<'a> {
    #[serde(flatten)]
    list: &'a MoveList,
    #[serde(skip_serializing_if = "Option::is_none")]
    written_to: Option<String>,
}

pub(crate) fn run(args: &ScriptArgs) -> Result<u8, Failure> {
    if let Some(file) = &args.timeline {
        files::probe(file, Sort::Picture)?;
    }
    let examined = examine(&args.plan)?;
    if !examined.is_sound() {
        return refuse(args, &examined);
    }
    let clock_step = first_step_that_needs_the_clock(&examined.problem, &examined.plan, Interrupt::NEVER)
        .map_err(|error| {
            Failure::not_sound(format!(
                "internal error: {error}; no scripts were made; please report this with the plan"
            ))
        })?;
    let lists = move_lists(&examined.problem, &examined.plan, clock_step.is_none());
    if let Some(file) = &args.timeline {
        let pieces = survival::pieces(&examined.problem, &examined.plan);
        files::write(file, Sort::Picture, timeline::draw(&examined.problem, &examined.plan, &pieces))?;
    }
    if args.format == ScriptFormat::Csv && !(args.json && args.output.is_none()) {
        refuse_formulas(&lists)?;
    }
    let written = args.output.as_deref().map(|folder| write(folder, &lists, args.format)).transpose()?;
    let text = match (&written, args.json) {
        (written, true) => json(&examined, &lists, written.as_deref().unwrap_or_default(), clock_step)?,
        (None, false) if args.timeline.is_some() => String::new(),
        (None, false) => notation(&lists.iter().collect::<Vec<_>>(), args.format)?,
        (Some(written), false) => {
            let names: Vec<String> = written.iter().map(|path| path.display().to_string() + "\n").collect();
            format!("{}{} written\n", names.concat(), wording::count(written.len(), "move list"))
        }
    };
    output::print(&text)?;
    if !args.json {
        if let Some(file) = &args.timeline {
            output::complain(&format!("timeline drawn in {}", file.display()));
        }
        output::complain(&clock(clock_step));
        output::complain(cautions::SHORT);
    }
    Ok(exit_code::DONE)
}

/// Whether the lists need a common clock.
fn clock(step: Option<usize>) -> String {
    match step {
        None => "no common clock is needed: the plan stays sound whatever is late, as long as every step waits for those in `after`".into(),
        Some(step) => format!(
            "a common clock is needed: step {step} is sound at its start time, and not proven to be so if anything is late"
        ),
    }
}

/// An unsound plan makes no scripts.
fn refuse(args: &ScriptArgs, examined: &Examined) -> Result<u8, Failure> {
    if args.json {
        output::print(&json(examined, &[], &[], None)?)?;
    }
    output::complain(&format!(
        "{}error: {} is not sound: {}; no scripts were made; plan the scene again, or mend the plan until `clamber check` passes it",
        findings::list(&examined.problem, &examined.plan, &examined.findings),
        examined.file,
        wording::count(examined.findings.len(), "finding")
    ));
    Ok(exit_code::NOT_SOUND)
}

fn json(
    examined: &Examined,
    lists: &[MoveList],
    written: &[PathBuf],
    clock_step: Option<usize>,
) -> Result<String, Failure> {
    let path = |index: usize| written.get(index).map(|path| path.display().to_string());
    output::json_line(&ScriptEntry {
        format: "clamber-script/1",
        file: &examined.file,
        scenario_sha256: &examined.facts.actual_sha256,
        sound: examined.is_sound(),
        findings: findings::entries(&examined.findings),
        needs_clock: examined.is_sound().then_some(clock_step.is_some()),
        scripts: lists.iter().enumerate().map(|(i, list)| ListEntry { list, written_to: path(i) }).collect(),
    })
}

fn notation(lists: &[&MoveList], format: ScriptFormat) -> Result<String, Failure> {
    match format {
        ScriptFormat::Csv => csv(lists),
        ScriptFormat::Jsonl => jsonl(lists),
    }
}

/// Writes all lists; refuses a folder that holds lists of other modules, since a crew that mixes plans collides.
fn write(folder: &Path, lists: &[MoveList], format: ScriptFormat) -> Result<Vec<PathBuf>, Failure> {
    let (sort, extension) = match format {
        ScriptFormat::Csv => (Sort::MoveTable, "csv"),
        ScriptFormat::Jsonl => (Sort::MoveLines, "jsonl"),
    };
    let names: Vec<String> = lists.iter().map(|list| list.module.clone()).collect();
    let paths: Vec<PathBuf> =
        file_stems(&names).into_iter().map(|stem| folder.join(format!("{stem}.{extension}"))).collect();
    files::make_folder(folder)?;
    let entries = std::fs::read_dir(folder).map_err(|error| files::trouble(folder, "read", &error))?;
    let mut foreign: Vec<String> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|e| e == "csv" || e == "jsonl") && !paths.contains(path))
        .filter_map(|path| path.file_name().map(|name| name.to_string_lossy().into_owned()))
        .collect();
    foreign.sort();
    if let Some(first) = foreign.first() {
        return Err(Failure::unreadable(format!(
            "error: {} holds {} that this plan does not make, such as {first}; move them away or give an empty folder",
            folder.display(),
            wording::count(foreign.len(), "other list")
        )));
    }
    for (list, path) in lists.iter().zip(&paths) {
        files::write(path, sort, notation(&[list], format)?)?;
    }
    Ok(paths)
}
