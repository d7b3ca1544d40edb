//! Arguments of `rate`.

use clamber_core::unstable::rating::LimitMethod;
use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use std::path::PathBuf;

/// Arguments of `rate`.
#[derive(Debug, Args)]
#[command(after_help = "\
Example: clamber rate pulls.csv                                     what do these tests say?
         clamber rate pulls.csv --from crew.toml -o cobble.toml --page cobble.html
         clamber rate pulls.csv --from crew.toml --merge 'dry shell,wet shell' --joint

The tests are a CSV file: a first line `# clamber-pulls/1`, a line `# rig_limit_n = 120` with the force at which the rig stops, a header, and one row for each \
pull, with the columns module, kind, hold, surface, angle_deg, offset_m, force_n and result (came_off, slipped, tipped or held). pull, date, temperature_c, vacuum_pa, tilt_deg, \
dropped and note are optional; any other column is kept. docs/rating.md explains all of it.

Rated are magnet_force_n, cup_vacuum_pa, bond_friction and peel_radius_m. All other numbers of the kind are taken from the kind of the same name in the file \
given with --from, a scene or a file of kinds. Without it, the file that is written leaves them to be filled in.

Exit codes: 0 all that the kind needs is rated; 1 tests are missing or too few; 2 a file or an argument is wrong.")]
pub(crate) struct RateArgs {
    /// The pull tests, CSV; - for stdin
    pub(crate) tests: PathBuf,
    /// Which kind to rate, if the tests are of several
    #[arg(long, value_name = "NAME")]
    pub(crate) kind: Option<String>,
    /// Take the numbers that pull tests do not give from this scene or file of kinds
    #[arg(long, value_name = "FILE")]
    pub(crate) from: Option<PathBuf>,
    /// Write the rated kind to this file, for `from` in a scene; comments say where each number comes from
    #[arg(short, long, value_name = "KIND.toml")]
    pub(crate) output: Option<PathBuf>,
    /// Write a page with every series, its limit, plots and the capacity chart
    #[arg(long, value_name = "FILE.html")]
    pub(crate) page: Option<PathBuf>,
    /// The percentage of all pulls that shall be stronger than a limit
    #[arg(long, value_name = "PERCENT", default_value = "95", value_parser = percent, allow_negative_numbers = true)]
    pub(crate) share: f64,
    /// The confidence in that, in percent
    #[arg(long, value_name = "PERCENT", default_value = "95", value_parser = percent, allow_negative_numbers = true)]
    pub(crate) confidence: f64,
    /// Let the confidence be that in all limits together, not in each by itself
    #[arg(long)]
    pub(crate) joint: bool,
    /// How limits are found: from a normal distribution; from the lowest pulls alone (59 modules or more for 95/95); from a log-normal distribution,
    /// which is unsafe where the forces are not so distributed
    #[arg(long, value_name = "HOW", default_value = "normal", value_parser = method_parser())]
    pub(crate) method: LimitMethod,
    /// Rate for this surface only; can be given several times [default: all surfaces, the weakest decides]
    #[arg(long, value_name = "NAME")]
    pub(crate) surface: Vec<String>,
    /// Put the pulls of these surfaces into one series; can be given several times
    #[arg(long, value_name = "NAME,NAME")]
    pub(crate) merge: Vec<String>,
    /// Compare the values of this free column within each series, such as batches
    #[arg(long, value_name = "COLUMN")]
    pub(crate) compare: Option<String>,
    /// The hold factor of the inner region in the capacity chart
    #[arg(long, value_name = "X", default_value = "1.5", value_parser = factor, allow_negative_numbers = true)]
    pub(crate) hold_factor: f64,
    /// Print JSON instead of text
    #[arg(long)]
    pub(crate) json: bool,
}

/// A percentage as a share.
fn percent(text: &str) -> Result<f64, String> {
    let value: f64 =
        text.trim_end_matches('%').trim().parse().map_err(|_| String::from("a percentage is allowed"))?;
    if value > 50.0 && value < 100.0 {
        Ok(value / 100.0)
    } else {
        Err("more than 50 and less than 100 is allowed; 95 is usual".into())
    }
}

fn factor(text: &str) -> Result<f64, String> {
    match text.parse() {
        Ok(value) if (1.0..=100.0).contains(&value) => Ok(value),
        _ => Err("a number from 1 to 100 is allowed".into()),
    }
}

fn method_parser() -> impl TypedValueParser<Value = LimitMethod> {
    PossibleValuesParser::new(LimitMethod::ALL.map(LimitMethod::word)).try_map(|word| {
        let known = LimitMethod::ALL.into_iter().find(|method| method.word() == word);
        known.ok_or("no such method")
    })
}
