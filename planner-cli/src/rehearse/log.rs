//! The log of a run: what happened when, and what the crew did in each part as a plan that can be shown.

use crate::failure::Failure;
use crate::output;
use clamber_core::follow::{Command, Event};
use clamber_core::unstable::check::check_and_fill_in;
use clamber_core::{Interrupt, Plan, Problem, Scenario, write_plan};
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// A log in the making.
#[derive(Default)]
pub(crate) struct Log {
    /// The part of the run that is written about.
    pub(crate) part: usize,
    lines: Vec<Line>,
    parts: Vec<(Problem, Plan)>,
}

/// The first line of a log.
#[derive(Serialize)]
pub(crate) struct Head<'a> {
    pub(crate) format: &'static str,
    pub(crate) plan: &'a str,
    pub(crate) seed: u64,
    pub(crate) run: u32,
}

#[derive(Serialize)]
struct Line {
    at_s: f64,
    part: usize,
    #[serde(flatten)]
    what: What,
}

#[derive(Serialize)]
#[serde(untagged)]
enum What {
    Event(Event),
    Command(Command),
    Note { note: String },
}

/// The line with what the crew did in a part.
#[derive(Serialize, Deserialize)]
pub(crate) struct PartLine {
    pub(crate) part: usize,
    pub(crate) did: Value,
}

impl Log {
    pub(crate) fn event(&mut self, at_s: f64, event: Event) {
        self.lines.push(Line { at_s, part: self.part, what: What::Event(event) });
    }

    pub(crate) fn command(&mut self, at_s: f64, command: Command) {
        self.lines.push(Line { at_s, part: self.part, what: What::Command(command) });
    }

    pub(crate) fn say(&mut self, at_s: f64, note: String) {
        self.lines.push(Line { at_s, part: self.part, what: What::Note { note } });
    }

    pub(crate) fn part_done(&mut self, problem: Problem, plan: Plan) {
        self.parts.push((problem, plan));
    }

    /// All of it as lines of JSON.
    pub(crate) fn text(&self, head: &Head<'_>) -> Result<String, Failure> {
        let mut text = output::json_line(head)?;
        for line in &self.lines {
            text += &output::json_line(line)?;
        }
        for (part, (problem, plan)) in self.parts.iter().enumerate() {
            let internal = |error: &dyn std::fmt::Display| {
                Failure::not_sound(format!("internal error: {error}; please report this"))
            };
            let mut plan = plan.clone();
            // Nothing stops it.
            if let Ok(report) = check_and_fill_in(problem, &mut plan, Interrupt::NEVER) {
                plan.summary = report.summary;
            }
            let file = Scenario::of(problem)
                .and_then(|scenario| write_plan(&scenario, problem, &plan))
                .map_err(|error| internal(&error))?;
            let did = serde_json::from_str(&file).map_err(|error| internal(&error))?;
            text += &output::json_line(&PartLine { part, did })?;
        }
        Ok(text)
    }
}

/// The plan files of a log's parts, as text.
pub(crate) fn parts(text: &str) -> Vec<String> {
    let parts = text.lines().filter_map(|line| serde_json::from_str::<PartLine>(line).ok());
    parts.map(|part| part.did.to_string()).collect()
}
