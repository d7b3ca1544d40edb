//! Reads a plan and checks it: its steps against every rule, its file against itself.

use crate::failure::Failure;
use crate::{diagnostics, files};
use clamber_core::Problem;
use clamber_core::{Finding, check_plan};
use clamber_core::{Plan, Summary};
use clamber_core::{PlanFileFacts, read_plan};
use std::path::Path;

/// A plan and what the check says about it.
pub(crate) struct Examined {
    /// What the file is called in messages.
    pub(crate) file: String,
    pub(crate) problem: Problem,
    pub(crate) plan: Plan,
    pub(crate) facts: PlanFileFacts,
    /// Empty: the plan is sound.
    pub(crate) findings: Vec<Finding>,
    /// Recomputed.
    pub(crate) summary: Summary,
}

impl Examined {
    pub(crate) fn is_sound(&self) -> bool {
        self.findings.is_empty()
    }
}

pub(crate) fn examine(path: &Path) -> Result<Examined, Failure> {
    let text = files::read_text(path)?;
    examine_text(files::name(path), &text).map_err(|failure| no_plan(failure, path))
}

/// The same for a text; `file` is what it is called in messages.
pub(crate) fn examine_text(file: String, text: &str) -> Result<Examined, Failure> {
    let (_, problem, plan, facts) =
        read_plan(&file, text).map_err(|found| diagnostics::failure(&found, &file, text))?;
    let report = check_plan(&problem, &plan);
    let mut findings = file_findings(&facts);
    findings.extend(report.findings);
    Ok(Examined { file, problem, plan, facts, findings, summary: report.summary })
}

/// Says what a scene given for a plan needs.
fn no_plan(failure: Failure, path: &Path) -> Failure {
    if path.extension().is_none_or(|extension| !extension.eq_ignore_ascii_case("toml")) {
        return failure;
    }
    let hint =
        format!("a plan is JSON; make one of a scene with `clamber plan {} -o plan.json`", files::name(path));
    Failure { text: format!("{}\n{hint}", failure.text), ..failure }
}

/// Whether the file's scenario is the one that was planned for.
pub(crate) fn file_findings(facts: &PlanFileFacts) -> Vec<Finding> {
    let mut findings = Vec::new();
    if facts.recorded_sha256 != facts.actual_sha256 {
        let message = format!(
            "the plan was made for a scenario with digest {}, and the scenario in the file has {}: it was changed afterwards",
            facts.recorded_sha256, facts.actual_sha256
        );
        findings.push(Finding::new("digest", None, message));
    }
    if !facts.scenario_is_resolved {
        let message = "the scenario in the plan leaves out defaults; a plan holds every one written out";
        findings.push(Finding::new("scenario", None, message.into()));
    }
    findings
}
