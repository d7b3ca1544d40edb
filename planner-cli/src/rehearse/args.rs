//! The arguments of `rehearse`.

use super::fault::FaultWord;
use clamber_core::follow::Scatter;
use clap::Args;
use clap::builder::{StringValueParser, TypedValueParser};
use std::path::PathBuf;

/// Arguments of `rehearse`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber rehearse plan.json --seed 3 --jitter 0.3 --noise 0.5mm,0.5deg --faults cup,stall,stuck,lost --runs 100
         clamber rehearse plan.json --faults cup --log run.jsonl --log-run 7, then: clamber show run.jsonl -o run.html

A simulated crew follows the plan through the same follower as `clamber follow`. Its moves take longer or shorter than planned, its poses are measured \
with errors, and things fail at random instants:
  cup     the cup of a module holds no longer
  stall   a move stops on its way
  stuck   a module can no longer move by itself
  drive   a module can no longer drive
  yaw     a module can no longer turn
  lost    a module does not report the end of its move

What the crew really did is checked as a plan, with its real times, against every rule. A run ends in the goal, in part of the goal (as many slots as can still be filled), or in \
a stop that the check has proven. Where the fault itself takes more than the margin, no follower can help: such runs are counted by themselves, and \
`clamber whatif` tells beforehand which faults do so.

The simulated crew obeys, and stands where the follower's settled poses are; it knows no dynamics. The same seed gives the same answer.

Exit codes: 0 every run ended as it should; 1 some run broke a rule; 2 a file or an argument is wrong.")]
pub(crate) struct RehearseArgs {
    /// The plan, JSON; - for stdin
    pub(crate) plan: PathBuf,
    /// Seed of all that is random
    #[arg(long, value_name = "S", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Durations are drawn evenly from (1 - X) to (1 + X) times the planned ones
    #[arg(long, value_name = "X", default_value = "0.3", value_parser = jitter())]
    pub(crate) jitter: f64,
    /// Errors of measured poses, drawn evenly up to these
    #[arg(long, value_name = "MM,DEG", default_value = "0.5mm,0.5deg", value_parser = noise())]
    pub(crate) noise: Scatter,
    /// What may fail
    #[arg(
        long,
        value_name = "FAULTS",
        value_enum,
        value_delimiter = ',',
        default_value = "cup,stall,stuck,lost"
    )]
    pub(crate) faults: Vec<FaultWord>,
    /// Number of runs
    #[arg(long, value_name = "N", default_value_t = 20, value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    pub(crate) runs: u32,
    /// Effort for each new plan after a fault, counted in questions of the search; no clock is read, so the answer does not depend on the machine
    #[arg(long, value_name = "N", default_value_t = 60_000)]
    pub(crate) effort: u64,
    /// Write the log of one run to this file (JSON lines)
    #[arg(long, value_name = "FILE.jsonl")]
    pub(crate) log: Option<PathBuf>,
    /// Which run to log, from 0
    #[arg(long, value_name = "RUN", default_value_t = 0, requires = "log")]
    pub(crate) log_run: u32,
    /// Number of runs at a time [default: one per processor]; the answer does not depend on it
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub(crate) threads: Option<u16>,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

fn jitter() -> impl TypedValueParser<Value = f64> {
    StringValueParser::new().try_map(|text| {
        let value = text.parse().ok().filter(|value: &f64| (0.0..0.95).contains(value));
        value.ok_or("give a number from 0 to below 0.95, such as 0.3")
    })
}

fn noise() -> impl TypedValueParser<Value = Scatter> {
    StringValueParser::new().try_map(|text| {
        let read = || {
            let (length, angle) = text.split_once(',')?;
            let length_mm: f64 = length.trim().strip_suffix("mm")?.trim().parse().ok()?;
            let angle_deg: f64 = angle.trim().strip_suffix("deg")?.trim().parse().ok()?;
            let fits = (1e-6..=100.0).contains(&length_mm) && (1e-6..=50.0).contains(&angle_deg);
            fits.then_some(Scatter { position_m: length_mm * 1e-3, angle_rad: angle_deg.to_radians() })
        };
        read().ok_or("give millimetres and degrees above 0, such as 0.5mm,0.5deg")
    })
}
