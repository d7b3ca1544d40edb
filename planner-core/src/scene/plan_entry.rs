//! The contents of a plan file, with the field names of the file.

use super::ranges::NAME;
use super::scenario::{HoldWord, Scenario};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The format of a plan file, with its version.
pub const PLAN_FORMAT: &str = "clamber-plan/2";
/// The format of plans of the first edition of the model, which are still read.
pub(super) const FIRST_PLAN_FORMAT: &str = "clamber-plan/1";

/// The moves and their parameters.
pub(super) const MOVES: [(&str, &[&str]); 7] = [
    ("yaw", &["angle_rad"]),
    ("slide", &["travel_m", "curvature_per_m"]),
    ("hop", &["to"]),
    ("cross", &["to", "travel_m"]),
    ("stride", &["direction", "angle_rad", "planted", "to"]),
    ("brace", &[]),
    ("release", &[]),
];

/// A plan and the scenario it is for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlanFile {
    /// The format and its version.
    #[schemars(extend("enum" = [PLAN_FORMAT, FIRST_PLAN_FORMAT]))]
    pub format: String,
    /// The whole scenario, with every default written out.
    pub scenario: Scenario,
    /// The SHA-256 of the canonical JSON (RFC 8785) of the scenario, in lower-case hexadecimal digits.
    pub scenario_sha256: String,
    /// The planner that made it.
    pub planner: PlannerEntry,
    /// The word for how the search ended.
    #[schemars(extend("enum" = crate::plan::Status::WORDS.map(|(_, word)| word)))]
    pub status: String,
    /// Why the goal is not reached, in words; not there in a solved plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Whether the utilisations are exact, as without this word, or proven bounds.
    #[schemars(extend("enum" = ["exact", "bound"]))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub utilisation_is: Option<String>,
    /// The moves, in any order.
    pub steps: Vec<StepEntry>,
    /// The figures over all steps.
    pub summary: SummaryEntry,
}

/// Who made a plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlannerEntry {
    /// The name of the planner.
    pub name: String,
    /// The seed.
    pub seed: u64,
    /// The version of the library.
    pub version: String,
}

/// One timed move.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StepEntry {
    /// The name of the module that moves.
    #[schemars(extend("pattern" = NAME))]
    pub module: String,
    /// The word for what it does.
    #[schemars(extend("enum" = MOVES.map(|(word, _)| word)))]
    pub r#move: String,
    /// The direction of a stride as a unit vector seen from above.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub direction: Option<[f64; 2]>,
    /// The angle in radians: of a yaw right-handed about body z, of a stride that by which the planted modules turn, forwards positive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub angle_rad: Option<f64>,
    /// The names of the modules that roll in a stride.
    #[schemars(length(min = 1, max = 16), inner(regex(pattern = NAME)))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub planted: Option<Vec<String>>,
    /// The way of the sole in a slide, or of a cross seen from above, in metres, forward positive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub travel_m: Option<f64>,
    /// The geodesic curvature of a slide in 1/m, left positive.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub curvature_per_m: Option<f64>,
    /// The name of the deck or module a hop goes to, or of the deck that a cross or a stride goes to.
    #[schemars(extend("pattern" = NAME))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// The start in seconds.
    pub start_s: f64,
    /// The duration in seconds.
    pub duration_s: f64,
    /// The indices, from 0, of the steps that must have ended.
    #[schemars(inner(range(min = 0)))]
    pub after: Vec<usize>,
    /// The place of the module when the step ends.
    pub end: EndEntry,
    /// The worst utilisation of any bond over the step.
    pub utilisation: f64,
    /// The smallest free gap in metres of what moves, where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap_m: Option<f64>,
}

/// Where a module is when a step ends.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EndEntry {
    /// The centre `[x, y, z]` in metres.
    pub position_m: [f64; 3],
    /// The orientation, body to world, as a quaternion `[x, y, z, w]`.
    pub orientation_xyzw: [f64; 4],
    /// The name of the deck or module it stands on.
    #[schemars(extend("pattern" = NAME))]
    pub on: String,
    /// The hold of its bond.
    pub hold: HoldWord,
}

/// The figures of a whole plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SummaryEntry {
    /// The number of steps.
    pub moves: usize,
    /// The end of the last step in seconds.
    pub makespan_s: f64,
    /// The energy of all moves, braces and idling in joules.
    pub energy_j: f64,
    /// The way of all soles in slides in metres.
    pub travel_m: f64,
    /// The worst utilisation of any step.
    pub utilisation: f64,
    /// The smallest gap of any step in metres, where one has any.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gap_m: Option<f64>,
    /// The time in seconds that no plan for the scene can be shorter than.
    pub lower_bound_s: f64,
}
