//! Reads a plan and checks it: its steps against every rule, its file against itself.

use crate::failure::Failure;
use crate::sort::Sort;
use crate::{diagnostics, files};
use clamber_core::{Finding, Plan, PlanFileFacts, Problem, Rule, Summary, check_plan, read_plan};
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
    examine_text(files::name(path), &files::read_text(path)?)
}

/// The same for a text; `file` is what it is called in messages.
pub(crate) fn examine_text(file: String, text: &str) -> Result<Examined, Failure> {
    if let Some(found) = Sort::of(text.as_bytes()).filter(|sort| *sort != Sort::Plan) {
        let to_do = if found.is_scene() {
            format!("make a plan of it with `clamber plan {file} -o plan.json`")
        } else {
            "give a plan, as `clamber plan` writes it".into()
        };
        return Err(diagnostics::wrong_sort(&file, found, "a plan", to_do));
    }
    let (_, problem, plan, facts) =
        read_plan(&file, text).map_err(|found| diagnostics::failure(&found, &file))?;
    let report = check_plan(&problem, &plan).expect("its values make sense");
    let mut findings = file_findings(&facts);
    findings.extend(report.findings);
    Ok(Examined { file, problem, plan, facts, findings, summary: report.summary })
}

/// Whether the file's scenario is the one that was planned for.
pub(crate) fn file_findings(facts: &PlanFileFacts) -> Vec<Finding> {
    let mut findings = Vec::new();
    if facts.recorded_sha256 != facts.actual_sha256 {
        let message = format!(
            "the plan was made for a scenario with digest {}, and the scenario in the file has {}: it was changed afterwards",
            facts.recorded_sha256, facts.actual_sha256
        );
        findings.push(Finding::new(Rule::Digest, None, message));
    }
    if !facts.scenario_is_resolved {
        let message = "the scenario in the plan leaves out defaults; a plan holds every one written out";
        findings.push(Finding::new(Rule::Scenario, None, message.into()));
    }
    for &step in &facts.misnamed_ends {
        let message = "the deck named at its end is not the one below its sole's centre";
        findings.push(Finding::new(Rule::End, Some(step), message.into()));
    }
    findings
}
