//! The arguments of `plan`.

use super::{number, seconds};
use crate::memory;
use clamber_core::{Objective, SolveOptions, Strategy};
use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use std::path::PathBuf;

/// Arguments of `plan`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber plan culvert.toml -o plan.json --time 120

A solved plan is written only if it passes the check, and in one step. When the time is up, or after Ctrl-C or SIGTERM, the \
best plan so far is written. If that plan does not reach the goal, its status says so, and it replaces only another unsolved plan. A \
second Ctrl-C ends the program at once. If the time does not run out, the same scene and options give the same plan.")]
pub(crate) struct PlanArgs {
    /// The scene, TOML or JSON; - for stdin
    pub(crate) scene: PathBuf,
    /// Write the plan to this file
    #[arg(short, long, value_name = "PLAN")]
    pub(crate) output: Option<PathBuf>,
    /// Which planner searches; auto runs all of them and then improves the plan
    #[arg(long, value_name = "NAME", default_value = "auto", value_parser = planner_parser())]
    pub(crate) planner: Strategy,
    /// Time limit in seconds, for everything: the search, the timing of the moves and the check
    #[arg(long, value_name = "SECONDS", default_value = "60", value_parser = seconds, allow_negative_numbers = true)]
    pub(crate) time: f64,
    /// Seed that breaks ties: another seed may find another plan
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Weight of the estimated time to go in the search (weighted A*): 1 for shorter plans, more for an answer sooner [default: 3 for astar, 5
    /// for the other planners]
    #[arg(long = "greed", visible_alias = "weight", value_name = "X", value_parser = weight, allow_negative_numbers = true)]
    pub(crate) weight: Option<f64>,
    /// What the timing of the moves optimises; margin keeps the worst utilisation as low as possible; chance takes, of timings with several margins, that
    /// with the least chance that a bond gives where holds scatter by 10 %
    #[arg(long, value_name = "WHAT", default_value = "time", value_parser = objective_parser())]
    pub(crate) goal_of: GoalOf,
    /// Plan so that nothing falls, at whatever instant this fails; `cup`: braced, no bond needs more than its magnets hold alone
    #[arg(long, value_name = "FAILURE", value_enum)]
    pub(crate) survive: Option<Survive>,
    /// Make the moves one after the other instead of side by side
    #[arg(long, conflicts_with_all = ["goal_of", "trade_offs"])]
    pub(crate) one_by_one: bool,
    /// Also print a Pareto table: timings of the same moves, none of which is better than another in everything
    #[arg(long)]
    pub(crate) trade_offs: bool,
    /// Effort for shortening the trips of a solution, as a number of searches for trips of one module; used by `auto` only
    #[arg(long, value_name = "N", default_value_t = SolveOptions::default().shortening)]
    pub(crate) polish: u64,
    /// Effort for finding other trips that end sooner side by side: it stops after this many changes in a row without gain (counted for ten trips;
    /// fewer changes for more trips; ten times as many where modules gather); 0 turns it off; used by `auto` only, for `--goal-of time`
    #[arg(long, value_name = "N", default_value_t = SolveOptions::default().patience)]
    pub(crate) rearrange: u64,
    /// Also say where the time goes: the steps on the critical path, and which waits on it cost most, and why
    #[arg(long)]
    pub(crate) explain_time: bool,
    /// Number of threads [default: one per processor]; the plan does not depend on it
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
    /// Memory limit for the whole program, such as 500M or 2G (binary units); the search stops there with the best plan so far
    #[arg(long, value_name = "SIZE", default_value = "2G", value_parser = memory::parse_mib)]
    pub(crate) memory: u64,
    /// Also print how much work was saved: mirror images, exchanged modules of one kind, loads and faces used again
    #[arg(short, long)]
    pub(crate) verbose: bool,
    /// Print the plan file to stdout instead of tables
    #[arg(long)]
    pub(crate) json: bool,
}

/// What the timing of the moves optimises.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum GoalOf {
    Objective(Objective),
    /// The least chance that some bond gives.
    Chance,
}

/// The word for it.
const CHANCE: &str = "chance";

/// What a plan survives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum Survive {
    /// The loss of any one cup
    Cup,
}

fn planner_parser() -> impl TypedValueParser<Value = Strategy> {
    PossibleValuesParser::new(Strategy::all().into_iter().map(|(_, name)| name)).try_map(|word| {
        let known = Strategy::all().into_iter().find(|(_, name)| *name == word);
        known.map(|(planner, _)| planner).ok_or("no such planner")
    })
}

fn objective_parser() -> impl TypedValueParser<Value = GoalOf> {
    let words = Objective::ALL.iter().map(|(_, word)| *word).chain([CHANCE]);
    PossibleValuesParser::new(words).try_map(|word| {
        let known = Objective::ALL.into_iter().find(|(_, name)| *name == word);
        match known {
            Some((objective, _)) => Ok(GoalOf::Objective(objective)),
            None if word == CHANCE => Ok(GoalOf::Chance),
            None => Err("no such objective"),
        }
    })
}

fn weight(text: &str) -> Result<f64, String> {
    number(text, |value| value >= 1.0, "a number of at least 1, such as 3")
}
