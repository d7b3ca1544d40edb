//! The arguments of `bench`.

use crate::shard::Shard;
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// Arguments of `bench`.
#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    subcommand_value_name = "COMMAND",
    subcommand_help_heading = "Or"
)]
#[command(after_help = "\
Example: clamber bench benches/suites/fixtures.toml -o results.jsonl
         clamber bench report results.jsonl -o report
         clamber bench suite.toml -o part3.jsonl --shard 3/8     one part of eight, for a job array

Every run is a separate process with its own limits. It becomes one row of the results file, however it ends. Each row is on disk \
before the next one is written. You can stop the command at any time and start it again: it continues where it stopped. Only plans that pass \
the check count as solved.

Exit codes: 0 all runs have a row; 1 some run crashed, or some plan did not pass the check.")]
pub(crate) struct BenchArgs {
    /// The suite (TOML): planners, scenes, seeds and limits
    #[arg(required = true)]
    pub(crate) suite: Option<PathBuf>,
    /// Add rows to this file (JSON lines); runs that already have a row there are skipped
    #[arg(short, long, value_name = "RESULTS", required = true)]
    pub(crate) output: Option<PathBuf>,
    /// Make only part k of n of the runs
    #[arg(long, value_name = "K/N")]
    pub(crate) shard: Option<Shard>,
    /// Number of runs at a time; with more than one, they affect each other's times
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) jobs: u16,
    /// Keep the plans in this folder, one file for each solved run
    #[arg(long, value_name = "DIR")]
    pub(crate) plans: Option<PathBuf>,
    /// Accept rows that another build of clamber made
    #[arg(long)]
    pub(crate) any_build: bool,
    /// Print each row to stdout as it is made
    #[arg(long)]
    pub(crate) json: bool,
    /// What to do with results.
    #[command(subcommand)]
    pub(crate) command: Option<BenchCommand>,
}

/// What `bench` does with results.
#[derive(Debug, Subcommand)]
pub(crate) enum BenchCommand {
    /// Merge several results files
    Merge(MergeArgs),
    /// Make tables and plots, and tell which differences are noise
    Report(ReportArgs),
}

/// Arguments of `bench merge`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber bench merge part*.jsonl -o results.jsonl

The order of the rows does not depend on the order of the files. If a run appears twice, one row is kept; both rows must \
agree in everything but times and memory.")]
pub(crate) struct MergeArgs {
    /// Results files
    #[arg(required = true)]
    pub(crate) results: Vec<PathBuf>,
    /// Write them to this file
    #[arg(short, long, value_name = "RESULTS")]
    pub(crate) output: PathBuf,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

/// Arguments of `bench report`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber bench report results.jsonl -o report
         clamber bench report before.jsonl after.jsonl -o report     two builds of one planner

Writes report.html (one page with plots that needs no network), report.md, runs.csv, planners.csv and differences.csv. Without -o \
the Markdown is printed. The same rows give the same bytes.")]
pub(crate) struct ReportArgs {
    /// Results files
    #[arg(required = true)]
    pub(crate) results: Vec<PathBuf>,
    /// Write the report into this folder
    #[arg(short, long, value_name = "DIR")]
    pub(crate) output: Option<PathBuf>,
    /// Seed of the resampling
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Number of resamples for each confidence interval
    #[arg(long, value_name = "N", default_value_t = 9999, value_parser = clap::value_parser!(u32).range(100..=1_000_000))]
    pub(crate) resamples: u32,
    /// Print all figures as one JSON object
    #[arg(long)]
    pub(crate) json: bool,
}
