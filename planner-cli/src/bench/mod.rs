//! `clamber bench`: planners x scenes x seeds in a fair race, and what can be said of it afterwards.
//!
//! A suite says what is run ([`suite`]). Every run is a process of its own ([`launch`], [`single`]) and ends as one row ([`row`]) of a
//! results file ([`lines_file`](crate::lines_file)), however it ends. A report reads such files again.

mod campaign;
mod competitor;
mod job;
mod launch;
mod limits;
mod merge;
pub(crate) mod report;
mod row;
mod schema;
mod single;
mod statistics;
mod suite;
mod suite_read;
mod suite_text;

use crate::args::{BenchArgs, BenchCommand};
use crate::failure::Failure;

pub(crate) use schema::{results_schema, suite_schema};
pub(crate) use single::run as run_single;

pub(crate) fn run(args: &BenchArgs) -> Result<u8, Failure> {
    match &args.command {
        None => campaign::run(args),
        Some(BenchCommand::Merge(args)) => merge::run(args),
        Some(BenchCommand::Report(args)) => report::run(args),
    }
}
