//! A planner as it is set in a suite. Its options are those of `clamber plan`, read by the same parser.

use super::suite::{CompetitorEntry, Setting, Settings, called};
use crate::args::{Cli, Command, PlanArgs};
use clamber_core::Strategy;
use clap::Parser;

/// Options of `clamber plan` that the suite gives elsewhere, or that are no matter of planning.
const NOT_HERE: [&str; 9] =
    ["planner", "seed", "time", "threads", "memory", "output", "json", "verbose", "help"];

/// A planner and how it is set.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Competitor {
    pub(crate) planner: String,
    pub(crate) options: Settings,
}

/// What is wrong with an entry.
#[derive(Debug)]
pub(crate) struct Problem {
    pub(crate) field: &'static str,
    pub(crate) found: String,
    pub(crate) allowed: String,
}

impl Competitor {
    /// A planner whose name and options `clamber plan` understands.
    pub(crate) fn new(entry: &CompetitorEntry) -> Result<Self, Problem> {
        if let Some(key) = entry.options.keys().find(|key| NOT_HERE.contains(&key.as_str())) {
            let allowed = "options of `clamber plan` are allowed, but for planner, seed, time, threads, memory and output";
            return Err(Problem {
                field: "options",
                found: format!("{key} was found"),
                allowed: allowed.into(),
            });
        }
        if !Strategy::all().iter().any(|(_, name)| *name == entry.name) {
            let names = Strategy::all().into_iter().map(|(_, name)| name).collect::<Vec<_>>().join(", ");
            let found = format!("{:?} was found", entry.name);
            return Err(Problem { field: "name", found, allowed: format!("one of {names} is allowed") });
        }
        let competitor = Self { planner: entry.name.clone(), options: entry.options.clone() };
        parse(&competitor.arguments()).map_err(|found| Problem {
            field: "options",
            found,
            allowed: "what `clamber plan` takes is allowed".into(),
        })?;
        Ok(competitor)
    }

    /// `astar greed=1`.
    pub(crate) fn called(&self) -> String {
        called(&self.planner, &self.options)
    }

    /// The command line of `clamber plan`, without seed and limits.
    pub(crate) fn arguments(&self) -> Vec<String> {
        let mut words = vec!["--planner".to_owned(), self.planner.clone()];
        for (key, value) in &self.options {
            match value {
                Setting::Switch(true) => words.push(format!("--{key}")),
                Setting::Switch(false) => {}
                value => words.push(format!("--{key}={value}")),
            }
        }
        words
    }
}

/// Reads arguments as `clamber plan` does; the scene comes another way.
pub(crate) fn parse(arguments: &[String]) -> Result<PlanArgs, String> {
    let words = ["clamber", "plan", "-"].map(str::to_owned);
    match Cli::try_parse_from(words.iter().chain(arguments)) {
        Ok(Cli { command: Command::Plan(args) }) => Ok(args),
        Ok(_) => Err("no command of that name".into()),
        Err(error) => {
            let text = error.to_string();
            let first = text.lines().next().unwrap_or_default();
            Err(first.trim_start_matches("error: ").to_owned())
        }
    }
}
