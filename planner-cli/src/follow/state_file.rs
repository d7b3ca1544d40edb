//! The file that holds all that is known: the plan that is followed, and how far it has come.

use crate::failure::Failure;
use crate::sort::Sort;
use crate::{diagnostics, files, output};
use clamber_core::follow::FollowState;
use clamber_core::{Plan, Problem, read_plan};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::path::Path;

const FORMAT: &str = "clamber-follow-state/1";

/// A plan that is followed.
pub(crate) struct Followed {
    /// 0 for the plan that was given, one more for each that took its place.
    pub(crate) number: usize,
    /// The plan as a file has it.
    pub(crate) text: String,
    pub(crate) problem: Problem,
    pub(crate) plan: Plan,
    pub(crate) state: FollowState,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct StateFile {
    format: String,
    /// Of the plan file that was given.
    given_sha256: String,
    plan_number: usize,
    state: FollowState,
    plan: Value,
}

impl Followed {
    /// A plan from its beginning.
    pub(crate) fn read(file: &str, text: String, number: usize) -> Result<Self, Failure> {
        let (_, problem, plan, _) =
            read_plan(file, &text).map_err(|found| diagnostics::failure(&found, file))?;
        let steps = vec![clamber_core::follow::StepState::Waiting; plan.steps.len()];
        Ok(Self { number, text, problem, plan, state: FollowState { steps, ..FollowState::default() } })
    }
}

pub(crate) fn digest(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What a state file holds, if there is one, for the plan file with a digest.
pub(crate) fn read(path: &Path, given_sha256: &str) -> Result<Option<Followed>, Failure> {
    if !path.exists() {
        files::probe(path, Sort::FollowState)?;
        return Ok(None);
    }
    files::permit(path, Sort::FollowState)?;
    let (name, text) = (files::name(path), files::read_text(path)?);
    if text.is_empty() {
        return Ok(None);
    }
    let wrong = |words: String| {
        Failure::unreadable(format!(
            "error: {name} {words}; give another file, or take it away to follow the plan from its beginning"
        ))
    };
    let file: StateFile = serde_json::from_str(&text)
        .map_err(|error| wrong(format!("is no state that can be read: {error}")))?;
    if file.format != FORMAT {
        return Err(wrong(format!("has format {}, and {FORMAT} is read here", file.format)));
    }
    if file.given_sha256 != given_sha256 {
        return Err(wrong("is the state of another plan file".into()));
    }
    let mut followed = Followed::read(&name, file.plan.to_string(), file.plan_number)?;
    followed.state = file.state;
    Ok(Some(followed))
}

/// Writes the file in one step.
pub(crate) fn write(
    path: &Path,
    given_sha256: &str,
    followed: &Followed,
    state: &FollowState,
) -> Result<(), Failure> {
    let plan = serde_json::from_str(&followed.text)
        .map_err(|error| Failure::not_sound(format!("internal error: the plan is no JSON: {error}")))?;
    let file = StateFile {
        format: FORMAT.into(),
        given_sha256: given_sha256.into(),
        plan_number: followed.number,
        state: state.clone(),
        plan,
    };
    files::write(path, Sort::FollowState, output::json_line(&file)?)
}
