//! Reads and writes files: scenarios (TOML or JSON) and plans (JSON), as in the model (docs/model.md), section 7.
//!
//! Text comes in and goes out; no file is opened, and nothing is printed. Reading has several steps: text to a tree with positions; the tree against
//! the schema of the types; the tree against the rules of consistency; the tree to a [`Scenario`] with every default filled in; and that to a
//! [`Problem`](crate::model::Problem). All errors of a file are reported at once.

mod build;
mod deck_sense;
mod diagnostic;
mod digest;
mod finite;
mod kind_entry;
mod kinds;
mod kinds_entry;
mod later_fields;
mod layout;
mod lines;
mod lint;
mod names;
mod of_problem;
mod parse_json;
mod parse_toml;
mod plan_entry;
mod plan_read;
mod plan_write;
mod raised;
mod ranges;
mod read;
mod rings;
mod same;
mod scenario;
mod schema;
mod sense;
mod serde_tree;
mod shape;
mod standing;
mod text_tree;
mod tree;
mod twice;
mod wording;
mod write;
mod write_error;

pub use diagnostic::{Diagnostic, Diagnostics};
pub use digest::scenario_sha256;
pub use kind_entry::KindEntry;
pub use kinds::{ReadBeside, read_kinds};
pub use kinds_entry::KINDS_FORMAT;
pub use lines::module_line;
pub use lint::lint;
pub use plan_entry::{EndEntry, PLAN_FORMAT, PlanFile, PlannerEntry, StepEntry, SummaryEntry};
pub use plan_read::{PlanFileFacts, read_plan};
pub use plan_write::write_plan;
pub use read::{read_scenario, read_scenario_with};
pub use scenario::{
    DeckEntry, GatherEntry, GoalEntry, HoldWord, LimitsEntry, ModuleEntry, PartWord, SCENARIO_FORMAT,
    Scenario, SiteEntry, SlotEntry, StoneEntry,
};
pub use schema::{kinds_schema, plan_schema, scenario_schema};
pub use write::{FileFormat, write_scenario};
pub use write_error::WriteError;
