//! `clamber show`: a page on which a plan runs, or a scene stands; or the same as a glTF model.

mod body_number;
mod crew;
mod ghosts;
mod gltf;
mod legs;
mod page;
mod phases;
mod sheet;
mod spans;
mod step_table;

use crate::args::ShowArgs;
use crate::failure::Failure;
use crate::scene_file::{self, SceneFile};
use crate::sort::Sort;
use crate::{diagnostics, exit_code, files, findings, output, rehearse, wording};
use clamber_core::unstable::course::Course;
use clamber_core::unstable::motion::faults_at_rest;
use clamber_core::{
    Finding, Plan, PlannerNote, Problem, Status, Summary, UtilisationIs, check_plan, read_plan,
    scenario_sha256,
};
use sheet::Sheet;
use std::path::Path;

/// What is shown.
struct Shown {
    /// What the file is called in messages.
    file: String,
    problem: Problem,
    /// Without steps for a scene.
    plan: Plan,
    is_plan: bool,
    scenario_sha256: String,
    /// What is wrong with it; empty: sound.
    findings: Vec<Finding>,
    /// Recomputed.
    summary: Summary,
}

#[derive(serde::Serialize)]
struct ShowEntry<'a> {
    format: &'static str,
    file: &'a str,
    written_to: String,
    sound: bool,
    findings: Vec<findings::FindingEntry>,
}

/// What a file name asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Picture {
    Page,
    BinaryModel,
    TextModel,
}

impl Picture {
    const fn sort(self) -> Sort {
        match self {
            Self::Page => Sort::Page,
            Self::BinaryModel => Sort::BinaryModel,
            Self::TextModel => Sort::TextModel,
        }
    }
}

pub(crate) fn run(args: &ShowArgs) -> Result<u8, Failure> {
    let picture = picture_of(&args.output)?;
    files::probe(&args.output, picture.sort())?;
    let shown = read(&args.file, args.part)?;
    let course = Course::new(&shown.problem, &shown.plan).map_err(|error| {
        Failure::not_sound(format!("error: {} cannot be shown: {error}; nothing was written; `clamber check {}` lists all that is wrong with it", shown.file, shown.file))
    })?;
    let sheet = Sheet::new(&shown, &course);
    let bytes = match picture {
        Picture::Page => page::html(&sheet)?.into_bytes(),
        Picture::BinaryModel => gltf::binary(&sheet, &course)?,
        Picture::TextModel => gltf::text(&sheet, &course)?.into_bytes(),
    };
    files::write(&args.output, picture.sort(), &bytes)?;
    let sound = shown.findings.is_empty();
    let code = if sound { exit_code::DONE } else { exit_code::NOT_SOUND };
    if args.json {
        output::print(&output::json_line(&ShowEntry {
            format: "clamber-show/1",
            file: &shown.file,
            written_to: args.output.display().to_string(),
            sound,
            findings: findings::entries(&shown.findings),
        })?)?;
        return Ok(code);
    }
    let verdict = if sound { "sound".into() } else { wording::count(shown.findings.len(), "finding") };
    output::print(&format!(
        "{}: {verdict}, {} written to {}\n",
        shown.file,
        match picture {
            Picture::Page => "page",
            Picture::BinaryModel | Picture::TextModel => "model",
        },
        args.output.display()
    ))?;
    if !sound {
        output::complain(findings::list(&shown.problem, &shown.plan, &shown.findings).trim_end());
    }
    output::complain(crate::cautions::SHORT);
    Ok(code)
}

fn picture_of(path: &Path) -> Result<Picture, Failure> {
    let extension = path.extension().map(|extension| extension.to_string_lossy().to_ascii_lowercase());
    match extension.as_deref() {
        Some("html" | "htm") => Ok(Picture::Page),
        Some("glb") => Ok(Picture::BinaryModel),
        Some("gltf") => Ok(Picture::TextModel),
        _ => Err(Failure::unreadable(format!(
            "error: {} does not say what to make; end the name in .html for a page, .glb or .gltf for a model",
            path.display()
        ))),
    }
}

fn read(path: &Path, part: usize) -> Result<Shown, Failure> {
    let file = files::name(path);
    let mut text = files::read_text(path)?;
    let is_rehearsal = Sort::of(text.as_bytes()) == Some(Sort::Rehearsal);
    if is_rehearsal {
        text = part_of_log(&file, &text, part)?;
    }
    if is_rehearsal || Sort::of(text.as_bytes()) == Some(Sort::Plan) {
        let read = read_plan(&file, &text).map_err(|found| diagnostics::failure(&found, &file));
        let (_, problem, plan, facts) = read?;
        let report = check_plan(&problem, &plan).expect("its values make sense");
        let mut findings = crate::examine::file_findings(&facts);
        // A crew takes its own time, and not every part of a run reaches the goal.
        let counts = |finding: &Finding| !is_rehearsal || rehearse::is_about_the_crew(finding);
        findings.extend(report.findings.into_iter().filter(counts));
        return Ok(Shown {
            file,
            problem,
            plan,
            is_plan: true,
            scenario_sha256: facts.actual_sha256,
            findings,
            summary: report.summary,
        });
    }
    let SceneFile { scenario, problem, .. } = scene_file::of_text(path, text)?;
    let faults = faults_at_rest(&problem, &problem.start);
    let findings =
        faults.iter().map(|fault| Finding::new(fault.rule(), None, fault.describe(&problem))).collect();
    let summary = Summary::default();
    let planner = PlannerNote::new("", 0);
    let plan = Plan {
        planner,
        status: Status::BudgetSpent,
        reason: None,
        utilisation_is: UtilisationIs::Exact,
        steps: Vec::new(),
        summary,
    };
    let scenario_sha256 = scenario_sha256(&scenario);
    Ok(Shown { file, problem, plan, is_plan: false, scenario_sha256, findings, summary })
}

/// The plan file of a part of a run.
fn part_of_log(file: &str, text: &str, part: usize) -> Result<String, Failure> {
    let mut parts = rehearse::parts_of_log(text);
    if part < parts.len() {
        return Ok(parts.swap_remove(part));
    }
    let last = parts.len().saturating_sub(1);
    Err(Failure::unreadable(format!("error: --part {part}: {file} has parts 0 to {last}; give one of them")))
}
