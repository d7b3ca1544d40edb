//! The arguments of `whatif`.

use super::number;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Arguments of `whatif`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber whatif plan.json
         clamber whatif plan.json --of cup,touch
         clamber whatif plan.json --rocking 90

Each failure happens to one module, at any instant, and stays. Loads are proven over all of the plan's time, not sampled.
  cup    the cup of a braced module holds no more: its magnets have to hold alone
  bond   a bond with adhesion lets go: the module and all that stands on it are gone; does the rest stand?
  mass   a module, with its payload, is 10 % heavier
  drive  a drive stops during a slide or a yaw; nothing new begins, and the moves under way are finished
  touch  two shells that should touch do not

Verdicts: `stands` (no bond is used beyond the limit on plans, 1 / hold_factor), `margin` (some bond is used beyond it, up to all that it \
holds), `falls` (a bond gives, or nothing balances the crew), `not proven`. The number is the largest share of its hold that a bond uses.

Exit codes: 0 nothing falls; 1 something falls or is not proven, or the plan is not sound; 2 a file or an argument is wrong.")]
pub(crate) struct WhatifArgs {
    /// The plan, JSON; - for stdin
    pub(crate) plan: PathBuf,
    /// Only these failures, separated by commas [default: all]
    #[arg(long, value_name = "FAILURES", value_enum, value_delimiter = ',')]
    pub(crate) of: Vec<FailureWord>,
    /// Also say what bonds do that give way by this rocking stiffness, in N·m/rad: how far the crew droops, and how slowly it sways
    #[arg(long, value_name = "NM_PER_RAD", value_parser = positive, allow_negative_numbers = true)]
    pub(crate) rocking: Option<f64>,
    /// With --rocking: by how much places are off, in degrees, which bonds in stances closed by touches have to bear
    #[arg(long, value_name = "DEG", default_value = "0.3", value_parser = positive, allow_negative_numbers = true, requires = "rocking")]
    pub(crate) off_deg: f64,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

fn positive(text: &str) -> Result<f64, String> {
    number(text, |value| value > 0.0, "a number above 0")
}

/// A failure, by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum FailureWord {
    /// A cup
    Cup,
    /// A bond
    Bond,
    /// A mass
    Mass,
    /// A drive
    Drive,
    /// A touch
    Touch,
}

impl WhatifArgs {
    /// Whether a failure is asked for.
    pub(crate) fn asks(&self, failure: FailureWord) -> bool {
        self.of.is_empty() || self.of.contains(&failure)
    }
}
