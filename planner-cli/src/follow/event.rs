//! Lines that come in: what they may say, and what is wrong with those that say something else.

use super::answer::Refusal;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

/// What has happened, or is asked.
#[derive(Debug, JsonSchema)]
#[schemars(tag = "event", rename_all = "snake_case")]
pub(crate) enum EventLine {
    /// A step has begun.
    Started(StepFields),
    /// A step has come further.
    Share(ShareFields),
    /// A step has ended as planned.
    Ended(StepFields),
    /// A step has stopped before its end, and does not go on.
    Stalled(ShareFields),
    /// A part of a module has failed.
    Lost(LostFields),
    /// Where is the crew?
    Measured(PosesFields),
    /// No further step may start: how does the crew stop safely?
    Halt(NoFields),
    /// The crew stands: what now?
    Recover(PosesFields),
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct StepFields {
    /// Its number in the plan, from 0.
    pub(crate) step: usize,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ShareFields {
    /// Its number in the plan, from 0.
    pub(crate) step: usize,
    /// The share of its move that is done.
    #[schemars(range(min = 0.0, max = 1.0))]
    pub(crate) share: f64,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LostFields {
    /// The name of the module.
    pub(crate) module: String,
    /// What has failed.
    pub(crate) part: PartWord,
}

/// A part of a module.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum PartWord {
    Drive,
    Yaw,
    Cup,
    /// All moves of its own.
    All,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct NoFields {}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PosesFields {
    /// One for each module, in any order.
    pub(crate) poses: Vec<PoseEntry>,
}

/// The pose of a module as it was measured.
#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct PoseEntry {
    /// The name of the module.
    pub(crate) module: String,
    /// The shell's centre in the world frame, in metres.
    pub(crate) position_m: [f64; 3],
    /// Body to world, `[x, y, z, w]`, of length 1.
    pub(crate) orientation_xyzw: [f64; 4],
    /// The deck or module it stands on; by default that of the plan.
    #[serde(default)]
    pub(crate) on: Option<String>,
    /// The hold of its bond; by default that of the plan.
    #[serde(default)]
    pub(crate) hold: Option<HoldWord>,
    /// How far the pose may lie from the truth; by default 0.5 mm and 0.5°.
    #[serde(default)]
    pub(crate) scatter: Option<ScatterEntry>,
}

/// A hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(crate) enum HoldWord {
    Rolling,
    Braced,
}

#[derive(Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct ScatterEntry {
    /// Of each coordinate of the position, in metres.
    pub(crate) position_m: f64,
    /// Of the orientation, in radians.
    pub(crate) angle_rad: f64,
}

const EVENTS: &str = "started, share, ended, stalled, lost, measured, halt or recover";

impl EventLine {
    /// Reads a line.
    pub(crate) fn read(line: &str) -> Result<Self, Refusal> {
        let value: Value = serde_json::from_str(line).map_err(|error| {
            let words = plainly(&error.to_string());
            let found = format!("text that is no JSON: {words} at column {}", error.column());
            Refusal::new("line", found, "one JSON object, such as {\"event\": \"ended\", \"step\": 0}")
        })?;
        let Value::Object(mut fields) = value else {
            return Err(Refusal::new(
                "line",
                value,
                "one JSON object, such as {\"event\": \"ended\", \"step\": 0}",
            ));
        };
        let Some(event) = fields.remove("event") else {
            return Err(Refusal::new("event", "nothing", EVENTS));
        };
        match event.as_str() {
            Some("started") => read(fields).map(Self::Started),
            Some("share") => read(fields).map(Self::Share),
            Some("ended") => read(fields).map(Self::Ended),
            Some("stalled") => read(fields).map(Self::Stalled),
            Some("lost") => read(fields).map(Self::Lost),
            Some("measured") => read(fields).map(Self::Measured),
            Some("halt") => read(fields).map(Self::Halt),
            Some("recover") => read(fields).map(Self::Recover),
            _ => Err(Refusal::new("event", event, EVENTS)),
        }
    }
}

fn read<T: DeserializeOwned>(fields: Map<String, Value>) -> Result<T, Refusal> {
    let value = Value::Object(fields);
    serde_path_to_error::deserialize(&value).map_err(|error| {
        let path = error.path().to_string();
        let path = if path == "." { String::new() } else { path };
        let words = error.inner().to_string();
        if let Some(name) = words.strip_prefix("missing field `").and_then(|rest| rest.split('`').next()) {
            let separator = if path.is_empty() { "" } else { "." };
            return Refusal::new(format!("{path}{separator}{name}"), "nothing", "it must be there");
        }
        let (found, allowed) = words.split_once(", expected ").unwrap_or((&words, "what the schema says"));
        let allowed = match allowed {
            "usize" => "a whole number, 0 or more",
            "f64" => "a number",
            other => other,
        };
        let field = match found.strip_prefix("unknown field `").and_then(|rest| rest.split('`').next()) {
            Some(name) if path.is_empty() => name.to_owned(),
            _ => path,
        };
        Refusal::new(
            if field.is_empty() { "line".to_owned() } else { field },
            plainly(found),
            allowed.to_owned(),
        )
    })
}

/// An error's words without the reader's own.
fn plainly(words: &str) -> String {
    let words = words.split(" at line ").next().unwrap_or(words);
    ["invalid type: ", "invalid value: "]
        .iter()
        .fold(words, |w, head| w.strip_prefix(head).unwrap_or(w))
        .to_owned()
}
