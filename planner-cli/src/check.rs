//! `clamber check`: replays a plan against every rule.

use crate::args::CheckArgs;
use crate::examine::{Examined, examine};
use crate::failure::Failure;
use crate::findings::{self, FindingEntry};
use crate::margins::{self, MarginsEntry};
use crate::{cautions, exit_code, output, verdict, wording};
use clamber_core::unstable::scene::SummaryEntry;
use clamber_core::{Margins, Rule};
use serde::Serialize;
use std::fmt::Write;

#[derive(Serialize)]
struct CheckEntry {
    format: &'static str,
    file: String,
    sound: bool,
    findings: Vec<FindingEntry>,
    summary: SummaryEntry,
    #[serde(skip_serializing_if = "Option::is_none")]
    margins: Option<MarginsEntry>,
}

pub(crate) fn run(args: &CheckArgs) -> Result<u8, Failure> {
    let examined = examine(&args.plan)?;
    output::print(&if args.json { json(&examined)? } else { text(&examined) })?;
    Ok(if examined.is_sound() { exit_code::DONE } else { exit_code::NOT_SOUND })
}

fn json(examined: &Examined) -> Result<String, Failure> {
    output::json_line(&CheckEntry {
        format: "clamber-check/1",
        file: examined.file.clone(),
        sound: examined.is_sound(),
        findings: findings::entries(&examined.findings),
        summary: findings::summary_entry(&examined.summary),
        margins: margins_of(examined).map(|margins| margins::entry(&examined.problem, &margins)),
    })
}

/// The margins of a plan that breaks no rule; others have none.
fn margins_of(examined: &Examined) -> Option<Margins> {
    examined.is_sound().then(|| margins::of(&examined.problem, &examined.plan)).flatten()
}

fn text(examined: &Examined) -> String {
    let Examined { file, problem, plan, findings, summary, .. } = examined;
    let mut text = findings::list(problem, plan, findings);
    if !findings.is_empty() {
        text.push('\n');
    }
    if findings.iter().any(|finding| finding.rule == Rule::Order) {
        text += "not replayed: the times of the steps contradict each other; mend these findings first\n";
    } else {
        let _ = writeln!(text, "recomputed: {}", verdict::figures(problem, summary, plan.utilisation_is));
        text += &verdict::with_payloads(problem, plan);
        text += &margins_of(examined).map_or_else(String::new, |margins| margins::text(problem, &margins));
    }
    let verdict = if findings.is_empty() {
        "sound: every rule holds at every instant, and the goal is reached".into()
    } else {
        format!("not sound: {}", wording::count(findings.len(), "finding"))
    };
    let _ = writeln!(text, "{file}: {verdict}");
    let _ = writeln!(text, "{}", cautions::SHORT);
    text
}
