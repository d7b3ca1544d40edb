//! The arguments of `envelope`.

use super::question::Question;
use crate::shard::Shard;
use clap::Args;
use std::ops::RangeInclusive;
use std::path::PathBuf;

/// Arguments of `envelope`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber envelope crew.toml --modules 3..6 -o cobble
         clamber envelope scene.toml --name cobble --of column,payload --modules 4 -o cobble

Every bound has a witness: a shape that stands or a checked plan for what can be done, a load that is over its limit or a proof for what cannot. Scenes and plans \
are in the folder; points.jsonl has a line for each number tried, page.html all answers with their closed forms. A run that was stopped goes on where it was: give \
the same command again. Parts of a run by --shard need folders of their own.

Numbers between the bounds are open: nobody has found a way, and nobody has proved that there is none. Walls and gaps are not monotone: a \
plan for one height is no plan for a lower one.

Exit codes: 0 done; 1 interrupted; 2 a file or an argument is wrong.")]
pub(crate) struct EnvelopeArgs {
    /// A file of kinds, or a scene, TOML or JSON
    pub(crate) kind: PathBuf,
    /// Which kind, if the file has several
    #[arg(long, value_name = "NAME")]
    pub(crate) name: Option<String>,
    /// Sizes of crew: 4, or 3..8
    #[arg(long, value_name = "N", default_value = "3..6", value_parser = modules)]
    pub(crate) modules: RangeInclusive<usize>,
    /// Only these questions, separated by commas [default: all]
    #[arg(long, value_name = "QUESTIONS", value_enum, value_delimiter = ',')]
    pub(crate) of: Vec<Question>,
    /// Time in seconds for each way that is looked for
    #[arg(long, value_name = "SECONDS", default_value = "20", value_parser = crate::args::seconds, allow_negative_numbers = true)]
    pub(crate) time: f64,
    /// The folder for points, scenes, plans and the page
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: PathBuf,
    /// Do only this part of the work, for several machines: k/n
    #[arg(long, value_name = "K/N", default_value = "1/1")]
    pub(crate) shard: Shard,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

/// Most modules of a crew that is asked about.
const MOST: usize = 32;

fn modules(text: &str) -> Result<RangeInclusive<usize>, String> {
    let (from, to) = text.split_once("..").unwrap_or((text, text));
    let number = |text: &str| text.trim_start_matches('=').parse().ok();
    match (number(from), number(to)) {
        (Some(from), Some(to)) if 1 <= from && from <= to && to <= MOST => Ok(from..=to),
        _ => Err(format!("give a number from 1 to {MOST}, or two such as 3..8")),
    }
}
