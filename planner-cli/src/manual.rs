//! `clamber completions` and `clamber manual`: what a shell and a manual reader know of the command line, made from the command line itself.

use crate::args::{Cli, CompletionsArgs, ManualArgs};
use crate::failure::Failure;
use crate::sort::Sort;
use crate::{exit_code, files, output, wording};
use clap::{Command, CommandFactory};
use clap_mangen::Man;
use serde::Serialize;
use std::path::PathBuf;

#[derive(Serialize)]
struct ManualEntry {
    format: &'static str,
    written_to: Vec<String>,
}

/// Prints the completions of a shell.
pub(crate) fn completions(args: &CompletionsArgs) -> Result<u8, Failure> {
    let mut script = Vec::new();
    // Shells would also complete the commands that are not for people.
    let whole = Cli::command();
    let shown = whole.get_subcommands().filter(|c| !c.is_hide_set()).cloned();
    let version = env!("CARGO_PKG_VERSION");
    let mut root = Command::new("clamber").version(version).disable_help_subcommand(true).subcommands(shown);
    clap_complete::generate(args.shell, &mut root, "clamber", &mut script);
    output::print(&String::from_utf8_lossy(&script))?;
    Ok(exit_code::DONE)
}

/// Writes a manual page for every command.
pub(crate) fn run(args: &ManualArgs) -> Result<u8, Failure> {
    let mut root = Cli::command();
    root.build();
    files::make_folder(&args.output)?;
    let mut written: Vec<PathBuf> = Vec::new();
    for command in with_those_below(root) {
        let man = Man::new(command);
        let mut page = Vec::new();
        man.render(&mut page).map_err(|error| {
            Failure::not_sound(format!("internal error: no manual page: {error}; please report this"))
        })?;
        let path = args.output.join(man.get_filename());
        files::write(&path, Sort::ManualPage, page)?;
        written.push(path);
    }
    if args.json {
        let written_to = written.iter().map(|path| path.display().to_string()).collect();
        output::print(&output::json_line(&ManualEntry { format: "clamber-manual/1", written_to })?)?;
    } else {
        let pages = wording::count(written.len(), "manual page");
        let folder = args.output.display();
        output::print(&format!("{pages} written to {folder}; read one with `man {folder}/clamber.1`\n"))?;
    }
    Ok(exit_code::DONE)
}

/// A command and all that are part of it, but for those that are not for people.
fn with_those_below(command: Command) -> Vec<Command> {
    let below: Vec<Command> = command.get_subcommands().filter(|c| !c.is_hide_set()).cloned().collect();
    std::iter::once(command).chain(below.into_iter().flat_map(with_those_below)).collect()
}
