//! `clamber schema`: the JSON Schema of a file.

use crate::args::{SchemaArgs, SchemaOf};
use crate::failure::Failure;
use crate::{bench, exit_code, output};
use clamber_core::unstable::scene::kinds_schema;
use clamber_core::{plan_schema, scenario_schema};

pub(crate) fn run(args: &SchemaArgs) -> Result<u8, Failure> {
    let schema = match args.file {
        SchemaOf::Scenario => scenario_schema(),
        SchemaOf::Plan => plan_schema(),
        SchemaOf::Kinds => kinds_schema(),
        SchemaOf::Suite => bench::suite_schema(),
        SchemaOf::Results => bench::results_schema(),
    };
    output::print(&format!("{schema:#}\n"))?;
    Ok(exit_code::DONE)
}
