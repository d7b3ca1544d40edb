//! Groups of pulls, held against each other.

use super::pull::Pull;
use super::sample::Sample;
use super::series::TestKind;
use super::statistics::{Summary, Welch, welch};
use indexmap::IndexMap;
use serde::Serialize;

/// Two groups of pulls that differ in one thing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// What differs: `hold`, `surface`, or a free column.
    pub of: String,
    /// What both groups have in common.
    pub among: String,
    /// The first group.
    pub first: String,
    /// The number of its modules.
    pub first_modules: usize,
    /// The mean of its modules' means.
    pub first_mean_n: f64,
    /// The second group.
    pub second: String,
    /// The number of its modules.
    pub second_modules: usize,
    /// The mean of its modules' means.
    pub second_mean_n: f64,
    /// Welch's test of the modules' means; `None` where a pull held, or a group is too small.
    pub welch: Option<Welch>,
}

/// How a pull is described for a comparison: what differs, and what is common to both groups.
type Described = fn(&Pull, Option<&str>) -> Option<(String, String)>;

/// Holds, surfaces and the values of a free column, each against each other in otherwise equal pulls.
pub(super) fn all(pulls: &[&Pull], column: Option<&str>) -> Vec<Comparison> {
    let by_hold: Described =
        |pull, _| Some((pull.hold.word().into(), format!("{}, {}", test(pull), pull.surface)));
    let by_surface: Described =
        |pull, _| Some((pull.surface.clone(), format!("{}, {}", test(pull), pull.hold.word())));
    let by_column: Described = |pull, column| {
        let value = pull.labels.get(column?).filter(|value| !value.is_empty())?;
        Some((value.clone(), format!("{}, {}, {}", test(pull), pull.hold.word(), pull.surface)))
    };
    let mut all = of("hold", pulls, None, by_hold);
    all.extend(of("surface", pulls, None, by_surface));
    if let Some(column) = column {
        all.extend(of(column, pulls, Some(column), by_column));
    }
    all
}

fn of(what: &str, pulls: &[&Pull], column: Option<&str>, described: Described) -> Vec<Comparison> {
    let mut groups: IndexMap<String, IndexMap<String, Vec<&Pull>>> = IndexMap::new();
    for pull in pulls {
        if let Some((own, among)) = described(pull, column) {
            groups.entry(among).or_default().entry(own).or_default().push(pull);
        }
    }
    let mut found = Vec::new();
    for (among, groups) in &groups {
        for (index, (first, ours)) in groups.iter().enumerate() {
            for (second, theirs) in groups.iter().skip(index + 1) {
                let samples = [ours, theirs].map(|pulls| Sample::new(pulls.iter().copied()));
                let means = samples.each_ref().map(Sample::means);
                let mean = |index: usize| Summary::of(&means[index]).map_or(0.0, |summary| summary.mean);
                let none_held = samples.iter().all(|sample| sample.held() == 0);
                found.push(Comparison {
                    of: what.to_owned(),
                    among: among.clone(),
                    first: first.clone(),
                    first_modules: means[0].len(),
                    first_mean_n: mean(0),
                    second: second.clone(),
                    second_modules: means[1].len(),
                    second_mean_n: mean(1),
                    welch: welch(&means[0], &means[1]).filter(|_| none_held),
                });
            }
        }
    }
    found
}

fn test(pull: &Pull) -> String {
    TestKind::of(pull).words(pull.angle_deg, pull.offset_m)
}
