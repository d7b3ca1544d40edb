//! `clamber show`: a page on which a plan runs, or a scene stands; or the same as a glTF model.

mod crew;
mod ghosts;
mod gltf;
mod page;
mod sheet;
mod spans;
mod step_table;

use crate::args::ShowArgs;
use crate::failure::Failure;
use crate::findings;
use crate::{diagnostics, exit_code, files, output, wording};
use clamber_core::Problem;
use clamber_core::unstable::course::Course;
use clamber_core::unstable::motion::faults_at_rest;
use clamber_core::{Finding, check_plan};
use clamber_core::{PLAN_FORMAT, read_plan, read_scenario, scenario_sha256};
use clamber_core::{Plan, PlannerNote, Status, Summary};
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

pub(crate) fn run(args: &ShowArgs) -> Result<u8, Failure> {
    let picture = picture_of(&args.output)?;
    if files::same(&args.output, &args.file) {
        let file = files::name(&args.file);
        return Err(Failure::unreadable(format!("error: {file} would overwrite itself; give another file")));
    }
    let shown = read(&args.file)?;
    files::probe(&args.output)?;
    let course = Course::new(&shown.problem, &shown.plan).map_err(|error| {
        Failure::not_sound(format!("error: {} cannot be shown: {error}; nothing was written", shown.file))
    })?;
    let sheet = Sheet::new(&shown, &course);
    let bytes = match picture {
        Picture::Page => page::html(&sheet)?.into_bytes(),
        Picture::BinaryModel => gltf::binary(&sheet, &course)?,
        Picture::TextModel => gltf::text(&sheet, &course)?.into_bytes(),
    };
    files::write_bytes(&args.output, &bytes)?;
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

fn read(path: &Path) -> Result<Shown, Failure> {
    let file = files::name(path);
    let text = files::read_text(path)?;
    if is_plan(&text) {
        let read = read_plan(&file, &text).map_err(|found| diagnostics::failure(&found, &file, &text));
        let (_, problem, plan, facts) = read?;
        let report = check_plan(&problem, &plan);
        let mut findings = crate::examine::file_findings(&facts);
        findings.extend(report.findings);
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
    let read = read_scenario(&file, &text).map_err(|found| diagnostics::failure(&found, &file, &text));
    let (scenario, problem) = read?;
    let faults = faults_at_rest(&problem, &problem.start);
    let findings =
        faults.iter().map(|fault| Finding::new(fault.rule(), None, fault.describe(&problem))).collect();
    let summary = Summary::default();
    let planner = PlannerNote::new("", 0);
    let plan = Plan { planner, status: Status::BudgetSpent, steps: Vec::new(), summary };
    let scenario_sha256 = scenario_sha256(&scenario);
    Ok(Shown { file, problem, plan, is_plan: false, scenario_sha256, findings, summary })
}

/// Whether a text says of itself that it is a plan; all else is read as a scene.
fn is_plan(text: &str) -> bool {
    #[derive(serde::Deserialize)]
    struct Head {
        format: String,
    }
    serde_json::from_str::<Head>(text).is_ok_and(|head| head.format == PLAN_FORMAT)
}
