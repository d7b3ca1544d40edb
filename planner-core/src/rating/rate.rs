//! The whole way from pulls to rated holds.

use super::comparison::{self, Comparison};
use super::figure::Figure;
use super::holds::holds;
use super::limit::LimitMethod;
use super::options::{OptionError, RatingOptions};
use super::pull::{Pull, PullFault, PullTests};
use super::remarks;
use super::rocking::{Rocking, rocking};
use super::series::Series;
use super::trend::{self, Trend};
use indexmap::{IndexMap, IndexSet};
use serde::Serialize;
use thiserror::Error;

/// The rated holds of a kind, and all that they rest on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rating {
    /// The kind.
    pub kind: String,
    /// The share of all pulls that a limit is below.
    pub share: f64,
    /// The confidence that was asked for.
    pub confidence: f64,
    /// The confidence in each limit: greater, where all shall hold together.
    pub confidence_each: f64,
    /// How limits are found.
    pub method: LimitMethod,
    /// The rated numbers: magnet force, cup vacuum, bond friction, peel radius.
    pub figures: Vec<Figure>,
    /// The rated adhesion, rolling.
    pub rolling_n: Option<f64>,
    /// The rated adhesion, braced.
    pub braced_n: Option<f64>,
    /// What bracing adds.
    pub cup_force_n: Option<f64>,
    /// The series, in the order in which they begin in the file.
    pub series: Vec<Series>,
    /// The rocking stiffness of bonds, where a dial gauge was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rocking: Option<Rocking>,
    /// Groups held against each other.
    pub comparisons: Vec<Comparison>,
    /// Drift with temperature, for each kelvin.
    pub temperature: Option<Trend>,
    /// Drift from the first pull to the last.
    pub time: Option<Trend>,
    /// Pulls that do not count.
    pub dropped: Vec<DroppedPull>,
    /// Surfaces that do not count.
    pub left_out: Vec<String>,
    /// What to look at again.
    pub remarks: Vec<String>,
    /// What is assumed.
    pub assumptions: Vec<String>,
}

/// A pull that does not count.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DroppedPull {
    /// The pull.
    pub pull: String,
    /// Its module.
    pub module: String,
    /// Its force.
    pub force_n: f64,
    /// The cause that the file gives.
    pub cause: String,
}

/// Why there is no rating.
#[derive(Clone, Debug, PartialEq, Error)]
#[non_exhaustive]
pub enum RatingError {
    /// There is no pull that counts.
    #[error("there is no pull to rate")]
    NoPulls,
    /// Pulls of several kinds.
    #[error("pulls of several kinds, {0}; one kind is rated at a time")]
    Kinds(String),
    /// A pull that makes no sense.
    #[error("pull {index}, {}: {}; {}; {}", .fault.field, .fault.found, .fault.allowed, .fault.help)]
    Pull {
        /// Its place among the pulls, counted from 0.
        index: usize,
        /// What is wrong.
        fault: PullFault,
    },
    /// An option that makes no sense.
    #[error(transparent)]
    Option(#[from] OptionError),
}

/// Rates a kind.
///
/// Complexity: linear in the pulls, but for 20,000 simulated series for each series with pulls that held.
///
/// # Errors
/// Pulls or options that make no sense. That tests are too few is no error: see [`Figure::lacks_tests`].
pub fn rate(tests: &PullTests, options: &RatingOptions) -> Result<Rating, RatingError> {
    let pulls = &tests.pulls;
    for (index, pull) in pulls.iter().enumerate() {
        if let Some(fault) = pull.faults(tests.rig_limit_n).into_iter().next() {
            return Err(RatingError::Pull { index, fault });
        }
    }
    let kinds: IndexSet<&str> = pulls.iter().map(|pull| pull.kind.as_str()).collect();
    let kind = match kinds.len() {
        0 => return Err(RatingError::NoPulls),
        1 => kinds[0].to_owned(),
        _ => return Err(RatingError::Kinds(listed(kinds))),
    };
    let surfaces: IndexSet<&str> = pulls.iter().map(|pull| pull.surface.as_str()).collect();
    options.check(&surfaces, pulls)?;
    let counts = |surface: &str| options.surfaces.is_empty() || options.surfaces.iter().any(|s| s == surface);
    let used: Vec<(usize, &Pull)> =
        pulls.iter().enumerate().filter(|(_, p)| p.dropped.is_none() && counts(&p.surface)).collect();
    if used.is_empty() {
        return Err(RatingError::NoPulls);
    }

    let groups = grouped(&used, options);
    let confidence_each = if options.joint {
        1.0 - (1.0 - options.confidence) / groups.len() as f64
    } else {
        options.confidence
    };
    let series: Vec<Series> = groups
        .iter()
        .filter_map(|(key, members)| Series::new(members, &key.surface, options, confidence_each))
        .collect();
    let found = holds(&series, pulls, options);
    let counted: Vec<&Pull> = used.iter().map(|(_, pull)| *pull).collect();
    let dropped = pulls.iter().filter_map(|pull| {
        let cause = pull.dropped.clone()?;
        Some(DroppedPull {
            pull: pull.name.clone(),
            module: pull.module.clone(),
            force_n: pull.force_n,
            cause,
        })
    });
    let mut rating = Rating {
        kind,
        share: options.share,
        confidence: options.confidence,
        confidence_each,
        method: options.method,
        figures: found.figures,
        rolling_n: found.rolling_n,
        braced_n: found.braced_n,
        cup_force_n: found.cup_force_n,
        rocking: rocking(&counted, options, confidence_each),
        comparisons: comparison::all(&counted, options.compared.as_deref()),
        temperature: trend::over_temperature(&series, pulls),
        time: trend::over_time(&series, pulls),
        dropped: dropped.collect(),
        left_out: surfaces.iter().filter(|s| !counts(s)).map(|s| (*s).to_owned()).collect(),
        remarks: Vec::new(),
        assumptions: Vec::new(),
        series,
    };
    rating.remarks = remarks::remarks(&rating, tests, options);
    rating.assumptions = remarks::assumptions(&rating, options);
    Ok(rating)
}

impl Rating {
    /// Whether every number that the kind needs is rated.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        self.figures.iter().all(|figure| !figure.lacks_tests)
    }
}

/// What the pulls of a series have in common.
#[derive(PartialEq, Eq, Hash)]
struct Key {
    is_braced: bool,
    surface: String,
    /// Bits of the angle and the offset: equal numbers are equal series.
    ray: [u64; 2],
}

fn grouped<'a>(
    pulls: &[(usize, &'a Pull)],
    options: &RatingOptions,
) -> IndexMap<Key, Vec<(usize, &'a Pull)>> {
    let mut groups: IndexMap<Key, Vec<(usize, &Pull)>> = IndexMap::new();
    for &(index, pull) in pulls {
        let merged = options.merged.iter().find(|list| list.contains(&pull.surface));
        let key = Key {
            is_braced: pull.hold == crate::model::Hold::Braced,
            surface: merged.map_or_else(|| pull.surface.clone(), |list| list.join(" + ")),
            // Without the sign of a zero.
            ray: [pull.angle_deg + 0.0, pull.offset_m + 0.0].map(f64::to_bits),
        };
        groups.entry(key).or_default().push((index, pull));
    }
    groups
}

impl RatingOptions {
    fn check(&self, surfaces: &IndexSet<&str>, pulls: &[Pull]) -> Result<(), OptionError> {
        for (name, value) in [("share", self.share), ("confidence", self.confidence)] {
            if !(value > 0.5 && value < 1.0) {
                return Err(OptionError::Probability { name, value });
            }
        }
        let merged: Vec<&String> = self.merged.iter().flatten().collect();
        if let Some(name) =
            self.surfaces.iter().chain(merged.iter().copied()).find(|n| !surfaces.contains(n.as_str()))
        {
            return Err(OptionError::Surface { name: name.clone(), known: listed(surfaces.iter().copied()) });
        }
        let once = |name: &&String| merged.iter().filter(|other| *other == name).count() == 1;
        let alone = self.merged.iter().find(|list| list.len() < 2).and_then(|list| list.first());
        if let Some(name) = merged.iter().copied().find(|name| !once(name)).or(alone) {
            return Err(OptionError::Merged { name: name.clone() });
        }
        if let Some(name) = self.compared.as_ref()
            && !pulls.iter().any(|pull| pull.labels.contains_key(name))
        {
            let known: IndexSet<&str> =
                pulls.iter().flat_map(|pull| pull.labels.keys().map(String::as_str)).collect();
            return Err(OptionError::Column { name: name.clone(), known: listed(known) });
        }
        Ok(())
    }
}

/// Names with commas.
fn listed<'a>(names: impl IntoIterator<Item = &'a str>) -> String {
    let names: Vec<&str> = names.into_iter().collect();
    if names.is_empty() { "none".into() } else { names.join(", ") }
}
