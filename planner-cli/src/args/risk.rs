//! The arguments of `risk`.

use clap::Args;
use clap::builder::TypedValueParser;
use std::path::PathBuf;

/// Arguments of `risk`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber risk plan.json --hold-cv 0.1
         clamber risk plan.json --scatter scatter.toml --json

Magnets and cups scatter from module to module, independently and normally, and so do masses and places. A coefficient of variation (cv) is the \
standard deviation divided by the mean. The plan fails if some bond needs more than it holds at some instant, in any of the nine directions \
of gravity. Where bodies touch, the chance is a bound, and masses and places count as given.

A chance from independent scatter flatters. What ends crews is what weakens all of it at once: dirt, water, one batch of magnets, one \
vacuum supply. So common causes always stand beside the chance: every cup -50 %, friction -30 %, all magnets -20 %, and those of the file.

A file of scatter (TOML); every field but `format` may be left out:
  format = \"clamber-scatter/1\"
  magnet_mean = 1.2       # as a share of the rated hold
  magnet_cv = 0.08
  cup_mean = 1.1
  cup_cv = 0.1
  mass_cv = 0.02
  place_mm = 0.5
  place_deg = 0.5
  [[scenario]]
  name = \"wet shells\"
  magnet = 1.0            # the share that is left of every magnet
  cup = 0.8               # the same of cups, frictions and masses
  friction = 0.6
  mass = 1.0
  tilt_deg = 2.0          # further tilt of gravity
  probability = 0.01      # if known

Exit codes: 0 done; 1 the chance is above --at-most, or the plan is not sound; 2 a file or an argument is wrong.")]
pub(crate) struct RiskArgs {
    /// The plan, JSON; - for stdin
    pub(crate) plan: PathBuf,
    /// Coefficient of variation of magnets and cups
    #[arg(long, value_name = "CV", value_parser = between(0.0, 1.0), required_unless_present = "scatter")]
    pub(crate) hold_cv: Option<f64>,
    /// Mean of magnets and cups, as a share of their rated holds [default: 1]
    #[arg(long, value_name = "SHARE", value_parser = between(0.01, 100.0))]
    pub(crate) hold_mean: Option<f64>,
    /// Coefficient of variation of masses [default: 0.02]
    #[arg(long, value_name = "CV", value_parser = between(0.0, 1.0))]
    pub(crate) mass_cv: Option<f64>,
    /// Standard deviation of where a module stands, in millimetres [default: 0.5]
    #[arg(long, value_name = "MM", value_parser = between(0.0, 100.0))]
    pub(crate) place_mm: Option<f64>,
    /// Standard deviation of the direction in which it stands, in degrees [default: 0.5]
    #[arg(long, value_name = "DEG", value_parser = between(0.0, 30.0))]
    pub(crate) place_deg: Option<f64>,
    /// Scatter and common causes from this file (TOML); options on the command line count more
    #[arg(long, value_name = "FILE")]
    pub(crate) scatter: Option<PathBuf>,
    /// Number of draws; none are needed where masses and places do not scatter
    #[arg(long, value_name = "N", default_value_t = 100_000, value_parser = clap::value_parser!(u32).range(100..=100_000_000))]
    pub(crate) draws: u32,
    /// Seed of the draws; the same seed gives the same answer
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(crate) seed: u64,
    /// Exit with 1 if the chance may be above this
    #[arg(long, value_name = "CHANCE", value_parser = between(0.0, 1.0))]
    pub(crate) at_most: Option<f64>,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

fn between(least: f64, most: f64) -> impl TypedValueParser<Value = f64> {
    clap::builder::StringValueParser::new().try_map(move |text| {
        let value = text.parse().ok().filter(|value: &f64| (least..=most).contains(value));
        value.ok_or_else(|| format!("give a number from {least} to {most}"))
    })
}
