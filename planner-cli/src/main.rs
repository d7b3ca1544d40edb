//! `clamber` on the command line: plans, checks, scripts, inspections, schemas and races of planners.
//!
//! Each command reads files, asks the library, and prints; see the file of its name. All that is known about the model is in
//! the library.

mod args;
mod bench;
mod cautions;
mod chance;
mod check;
mod csv_table;
mod diagnostics;
mod envelope;
mod examine;
mod exit_code;
mod failure;
mod files;
mod findings;
mod follow;
mod ground;
mod inspect;
mod inspection;
mod kinds_file;
mod lines_file;
mod manual;
mod map;
mod margins;
mod markup;
mod memory;
mod move_list;
mod number;
mod output;
mod plan;
mod plannable;
mod progress;
mod rate;
mod reached;
mod refusal;
mod rehearse;
mod risk;
mod scene;
mod scene_file;
mod scene_template;
mod schema;
mod script;
mod script_names;
mod shard;
mod show;
mod solving;
mod sort;
mod surface;
mod surface_report;
mod surface_text;
mod survival;
mod surviving;
mod svg;
mod tables;
mod time_use;
mod timeline;
mod verdict;
mod whatif;
mod wording;

use args::{Cli, Command};
use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    let command = Cli::parse().command;
    let as_json = command.wants_json();
    let done = match command {
        Command::Inspect(args) => inspect::run(&args),
        Command::Plan(args) => plan::run(&args),
        Command::Check(args) => check::run(&args),
        Command::Whatif(args) => whatif::run(&args),
        Command::Risk(args) => risk::run(&args),
        Command::Script(args) => script::run(&args),
        Command::Follow(args) => follow::run(&args),
        Command::Rehearse(args) => rehearse::run(&args),
        Command::Scene(args) => scene::run(&args),
        Command::Ground(args) => ground::run(&args),
        Command::Show(args) => show::run(&args),
        Command::Rate(args) => rate::run(&args),
        Command::Envelope(args) => envelope::run(&args),
        Command::Schema(args) => schema::run(&args),
        Command::Bench(args) => bench::run(&args),
        Command::Completions(args) => manual::completions(&args),
        Command::Manual(args) => manual::run(&args),
        Command::BenchSingle => bench::run_single(),
    };
    ExitCode::from(done.unwrap_or_else(|failure| refusal::tell(failure, as_json)))
}
