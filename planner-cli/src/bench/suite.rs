//! What a suite file says, with the field names of the file.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt;

/// The word that opens a suite file.
pub(crate) const SUITE_FORMAT: &str = "clamber-suite/1";

/// Planners x scenes x seeds x repeats, and the limits of each run.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct SuiteFile {
    /// The format and its version.
    #[schemars(extend("const" = SUITE_FORMAT))]
    pub(crate) format: String,
    /// One line for people.
    pub(crate) name: String,
    /// Scene files, seen from the folder of the suite; `*`, `?`, `[...]` and `**` match as in a shell.
    #[schemars(length(min = 1))]
    pub(crate) scenes: Vec<String>,
    /// Every planner searches every scene once with each of these.
    #[schemars(length(min = 1))]
    pub(crate) seeds: Vec<u64>,
    /// How often the very same run is made: the answers must agree, the times tell how much times scatter.
    #[serde(default = "once")]
    #[schemars(range(min = 1, max = 1000))]
    pub(crate) repeats: u32,
    /// What a run may use.
    pub(crate) limits: LimitsEntry,
    /// The planners; all of them, as they are, if none is named.
    #[serde(default)]
    pub(crate) planner: Vec<CompetitorEntry>,
}

/// What a run may use.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct LimitsEntry {
    /// Longest time to search and to time the moves, in seconds. A plan that comes later does not count.
    #[schemars(range(min = 0.001, max = 1e6))]
    pub(crate) time_s: f64,
    /// Most memory in MiB, as address space of the process; no limit if absent. Kept on Linux only.
    #[schemars(range(min = 16, max = 16777216))]
    pub(crate) memory_mib: Option<u64>,
    /// How much longer a run may take before it is killed, in seconds: for reading, checking, and a planner that does not stop.
    #[serde(default = "grace_s")]
    #[schemars(range(min = 0.1, max = 1e6))]
    pub(crate) grace_s: f64,
    /// Threads of each run.
    #[serde(default = "one_thread")]
    #[schemars(range(min = 1, max = 1024))]
    pub(crate) threads: u16,
}

/// A planner and how it is set.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct CompetitorEntry {
    /// The name of the planner, as for `clamber plan --planner`.
    pub(crate) name: String,
    /// Further options of `clamber plan` without their dashes, such as `greed = 3`.
    #[serde(default)]
    pub(crate) options: Settings,
}

/// Options of a planner by name, in the order of the names.
pub(crate) type Settings = BTreeMap<String, Setting>;

/// The value of an option.
#[derive(Clone, Debug, PartialEq, PartialOrd, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub(crate) enum Setting {
    /// A switch: on or off.
    Switch(bool),
    /// A number.
    Number(f64),
    /// A word.
    Word(String),
}

impl fmt::Display for Setting {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Switch(on) => on.fmt(f),
            Self::Number(value) => value.fmt(f),
            Self::Word(word) => word.fmt(f),
        }
    }
}

/// `astar`, or `astar greed=1` for one that is set.
pub(crate) fn called(planner: &str, options: &Settings) -> String {
    options.iter().fold(planner.to_owned(), |name, (key, value)| format!("{name} {key}={value}"))
}

const fn once() -> u32 {
    1
}

const fn grace_s() -> f64 {
    60.0
}

const fn one_thread() -> u16 {
    1
}
