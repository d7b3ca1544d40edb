//! The contents of a scenario file, with the field names of the file. The ranges written here are the only ones: the reader, the JSON Schema and the
//! messages all take them from the schema that is derived from these types.
//!
//! The wide ranges (from a millionth to a million of any unit) keep every later computation finite.

use super::kind_entry::KindEntry;
use super::ranges::{HUGE, LARGEST, NAME, TINY};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The format of a scenario file, with its version.
pub const SCENARIO_FORMAT: &str = "clamber-scenario/1";

/// A scene: site, crew, start and goal. After reading, every default is written out.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Scenario {
    /// The format and its version.
    #[schemars(extend("const" = SCENARIO_FORMAT))]
    pub format: String,
    /// The one-line name of the scene.
    #[schemars(extend("pattern" = NAME))]
    pub name: String,
    /// The gravity and air of the site.
    #[serde(default)]
    pub site: SiteEntry,
    /// The margins that every configuration must keep.
    #[serde(default)]
    pub limits: LimitsEntry,
    /// The decks, in any order.
    #[schemars(extend("minItems" = 1, "maxItems" = LARGEST))]
    pub deck: Vec<DeckEntry>,
    /// The stones, in any order.
    #[schemars(extend("maxItems" = LARGEST))]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub stone: Vec<StoneEntry>,
    /// The kinds of module, by name.
    #[schemars(extend("minProperties" = 1, "maxProperties" = LARGEST, "propertyNames" = { "pattern": NAME }))]
    pub kind: IndexMap<String, KindEntry>,
    /// The modules of the crew and how they stand in the beginning, in any order.
    #[schemars(extend("minItems" = 1, "maxItems" = LARGEST))]
    pub module: Vec<ModuleEntry>,
    /// The goal, if there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub goal: Option<GoalEntry>,
}

/// Gravity and air of the site.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SiteEntry {
    /// The geopotential altitude in metres, within the troposphere.
    #[schemars(extend("minimum" = -2000.0, "maximum" = 11_000.0))]
    pub altitude_m: f64,
    /// The gravity in m/s².
    #[schemars(extend("minimum" = TINY, "maximum" = 1000.0))]
    pub gravity_mps2: f64,
}

impl Default for SiteEntry {
    fn default() -> Self {
        Self { altitude_m: 0.0, gravity_mps2: crate::model::STANDARD_GRAVITY_MPS2 }
    }
}

/// Margins that every configuration must keep.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct LimitsEntry {
    /// The factor between what a bond can hold and what it may be used for.
    #[schemars(extend("minimum" = 1.0, "maximum" = 1000.0))]
    pub hold_factor: f64,
    /// The tilt of gravity in degrees that must be borne all round.
    #[schemars(extend("minimum" = 0.0, "exclusiveMaximum" = 45.0))]
    pub sway_deg: f64,
    /// The factor on gravity while any move is under way.
    #[schemars(extend("minimum" = 1.0, "maximum" = 1000.0))]
    pub motion_factor: f64,
    /// The gap in metres up to which two bodies touch. After reading it is always there: without one it is 0.2 mm and the largest ride clearance of
    /// the kinds in use, of which at most 1 mm counts.
    #[schemars(extend("minimum" = 0.0, "maximum" = 0.01))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub touch_tol_m: Option<f64>,
    /// The gap in metres that drives keep to what they do not move: 0 without one.
    #[schemars(extend("minimum" = 0.0, "maximum" = 1.0))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clearance_m: Option<f64>,
    /// The further tilt of gravity in degrees while a module slides, yaws or hops: 0 without one.
    #[schemars(extend("minimum" = 0.0, "exclusiveMaximum" = 45.0))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub motion_tilt_deg: Option<f64>,
    /// The hold factor with which a plan may begin, less than `hold_factor`: without one the start keeps `hold_factor`.
    #[schemars(extend("minimum" = 1.0, "maximum" = 1000.0))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recover_factor: Option<f64>,
}

impl Default for LimitsEntry {
    fn default() -> Self {
        Self {
            hold_factor: 1.5,
            sway_deg: 3.0,
            motion_factor: 1.1,
            touch_tol_m: None,
            clearance_m: None,
            motion_tilt_deg: None,
            recover_factor: None,
        }
    }
}

/// A deck: a vertical prism with a level or sloped top.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DeckEntry {
    /// The name, unlike that of any other deck, module or slot.
    #[schemars(extend("pattern" = NAME))]
    pub name: String,
    /// The corners `[x, y]` in metres, counter-clockwise, of a polygon that does not meet itself; with heights, `[x, y, z]`, of a sloped deck.
    #[schemars(extend("minItems" = 3, "maxItems" = 1024), inner(length(min = 2, max = 3), inner(range(min = -HUGE, max = HUGE))))]
    pub outline_m: Vec<Vec<f64>>,
    /// The height of the top in metres, of a deck whose corners have no heights.
    #[schemars(extend("minimum" = -HUGE, "maximum" = HUGE))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub top_m: Option<f64>,
    /// The height of the bottom in metres, below its top: without one the deck goes down without end.
    #[schemars(extend("minimum" = -HUGE, "maximum" = HUGE))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bottom_m: Option<f64>,
    /// The friction at feet on it and at shells touching it.
    #[schemars(extend("minimum" = 0.0, "maximum" = 10.0))]
    pub friction: f64,
    /// Whether magnets hold on it.
    #[serde(default)]
    pub ferrous: bool,
    /// Whether cups hold on it.
    #[serde(default)]
    pub sealable: bool,
    /// How far in metres the real surface lies above or below the plane: 0 without one.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub relief_m: Option<f64>,
    /// How much in degrees the facets of the real surface are tilted: 0 without one.
    #[schemars(extend("minimum" = 0.0, "maximum" = 90.0))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tilt_deg: Option<f64>,
}

/// A stone: a fixed ball that shells may touch and no foot stands on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StoneEntry {
    /// The name, unlike that of any other deck, stone, module or slot.
    #[schemars(extend("pattern" = NAME))]
    pub name: String,
    /// The `[x, y, z]` of its centre in metres.
    #[schemars(inner(range(min = -HUGE, max = HUGE)))]
    pub at_m: [f64; 3],
    /// The radius in metres.
    #[schemars(extend("minimum" = TINY, "maximum" = HUGE))]
    pub radius_m: f64,
    /// The friction at shells touching it.
    #[schemars(extend("minimum" = 0.0, "maximum" = 10.0))]
    pub friction: f64,
}

/// A module of the crew and how it stands in the beginning.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ModuleEntry {
    /// The name, unlike that of any other module or deck.
    #[schemars(extend("pattern" = NAME))]
    pub name: String,
    /// The name of its kind.
    #[schemars(extend("pattern" = NAME))]
    pub kind: String,
    /// The name of the deck or module it stands on.
    #[schemars(extend("pattern" = NAME))]
    pub on: String,
    /// The `[x, y]` of its centre in metres, where it stands on a deck.
    #[schemars(inner(range(min = -HUGE, max = HUGE)))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_m: Option<[f64; 2]>,
    /// The world direction `[x, y, z]` from its host's centre to its own, of any length, where it stands on a module.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub toward: Option<[f64; 3]>,
    /// The world direction `[x, y, z]` its tracks drive in, projected onto the surface. After reading it is always there: without one
    /// it is `[1, 0, 0]`, or `[0, 1, 0]` where that projects to nothing.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub facing: Option<[f64; 3]>,
    /// The hold of its bond.
    #[serde(default)]
    pub hold: HoldWord,
    /// Whether it cannot move by itself.
    #[serde(default)]
    pub stuck: bool,
    /// The parts that have failed: none without a list.
    #[schemars(extend("maxItems" = 3))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lost: Option<Vec<PartWord>>,
    /// The mass in kilograms fixed at its centre.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    #[serde(default)]
    pub payload_kg: f64,
}

/// A part of a module that can fail.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum PartWord {
    /// The tracks: it cannot slide or hop.
    Drive,
    /// The turning of the foot: it cannot yaw, and slides only straight.
    Yaw,
    /// The cup: it cannot brace, and braced it holds like rolling.
    Cup,
}

/// How a bond holds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum HoldWord {
    /// Magnets only.
    #[default]
    Rolling,
    /// Magnets and the evacuated cup.
    Braced,
}

/// What must be true in the end: slots to fill, modules to gather, or both.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GoalEntry {
    /// The places to fill, in any order.
    #[schemars(extend("maxItems" = LARGEST))]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub slot: Vec<SlotEntry>,
    /// The count of modules that must stand on one deck.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gather: Option<GatherEntry>,
}

/// A place to fill.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SlotEntry {
    /// The name, unlike that of any other slot or deck.
    #[schemars(extend("pattern" = NAME))]
    pub name: String,
    /// The name of the deck or slot it stands on.
    #[schemars(extend("pattern" = NAME))]
    pub on: String,
    /// The `[x, y]` of its centre in metres, where it stands on a deck.
    #[schemars(inner(range(min = -HUGE, max = HUGE)))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_m: Option<[f64; 2]>,
    /// The world direction `[x, y, z]` from its host's centre to its own, of any length, where it stands on a slot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub toward: Option<[f64; 3]>,
    /// The name of the kind that may fill it: any without one.
    #[schemars(extend("pattern" = NAME))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<String>,
    /// The name of the one module that may fill it: any without one.
    #[schemars(extend("pattern" = NAME))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub module: Option<String>,
    /// The hold asked in the end: either without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hold: Option<HoldWord>,
    /// The mass in kilograms to be carried at its centre in the end.
    #[schemars(extend("minimum" = 0.0, "maximum" = HUGE))]
    #[serde(default)]
    pub payload_kg: f64,
    /// Whether it may stay empty where the crew does not suffice: false without one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub optional: Option<bool>,
}

/// A count of modules whose bond is on one deck.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GatherEntry {
    /// The name of the deck.
    #[schemars(extend("pattern" = NAME))]
    pub deck: String,
    /// The least number of modules on it. After reading it is always there: without one it is the whole crew.
    #[schemars(extend("minimum" = 0, "maximum" = LARGEST))]
    #[serde(skip_serializing_if = "Option::is_none")]
    pub count: Option<usize>,
}
