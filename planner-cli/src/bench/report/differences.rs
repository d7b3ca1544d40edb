//! Differences between planners, and which of them are noise.
//!
//! All is paired by scene: what is compared is the mean over the runs of a scene, and scenes are what is resampled (intervals) or
//! exchanged (tests). All tests of a report are one family (Holm 1979).

use super::planners::{Estimate, LEVEL, log_time};
use super::race::Race;
use crate::args::ReportArgs;
use crate::bench::row::{PlanFigures, Row};
use crate::bench::statistics::bootstrap::{Interval, interval};
use crate::bench::statistics::means::mean;
use crate::bench::statistics::random::Random;
use crate::bench::statistics::{holm, permutation};
use serde::Serialize;

/// Below this adjusted p a difference is called real.
pub(crate) const ALPHA: f64 = 0.05;

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Measure {
    /// Share of runs solved: difference.
    Solved,
    /// Shifted time, the limit where not solved: ratio.
    Time,
    /// Makespan where both solved: ratio.
    Makespan,
    /// Moves where both solved: ratio.
    Moves,
    /// Energy where both solved: ratio.
    Energy,
}

impl Measure {
    const ALL: [Self; 5] = [Self::Solved, Self::Time, Self::Makespan, Self::Moves, Self::Energy];

    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Solved => "share solved",
            Self::Time => "time",
            Self::Makespan => "makespan",
            Self::Moves => "moves",
            Self::Energy => "energy",
        }
    }

    /// Whether it is compared by ratios, as differences of logarithms.
    pub(crate) fn is_ratio(self) -> bool {
        self != Self::Solved
    }
}

/// What can be said of a difference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Verdict {
    /// Chance alone hardly makes it.
    Real,
    /// Chance alone makes one as great often enough.
    Noise,
    /// So few scenes differ that no difference, however great, could be told from chance.
    TooFewScenes,
    /// No scene shows any.
    None,
}

/// `first` against `second`.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Difference {
    pub(crate) first: String,
    pub(crate) second: String,
    pub(crate) measure: Measure,
    /// Scenes that both have figures of.
    pub(crate) scenes: usize,
    /// First minus second for the share solved, else first over second.
    pub(crate) estimate: Option<Estimate>,
    /// Two-sided p of the paired permutation test.
    pub(crate) p: f64,
    /// The same for the whole family.
    pub(crate) adjusted_p: f64,
    pub(crate) verdict: Verdict,
    /// Per scene, first minus second, of logarithms for ratios: what was tested.
    pub(crate) by_scene: Vec<f64>,
}

pub(crate) fn all(race: &Race, args: &ReportArgs) -> Vec<Difference> {
    let mut all = Vec::new();
    for first in 0..race.planners.len() {
        for second in first + 1..race.planners.len() {
            for measure in Measure::ALL {
                all.push(one(race, first, second, measure, args));
            }
        }
    }
    judge(&mut all);
    all
}

fn one(race: &Race, first: usize, second: usize, measure: Measure, args: &ReportArgs) -> Difference {
    let by_scene: Vec<f64> =
        (0..race.scenes.len()).filter_map(|scene| on_scene(race, first, second, scene, measure)).collect();
    let statistic = if measure.is_ratio() { |d: &[f64]| mean(d).exp() } else { mean };
    let found = interval(&by_scene, statistic, LEVEL, args.resamples as usize, &mut Random::new(args.seed));
    let p = permutation::paired(&by_scene, &mut Random::new(args.seed));
    Difference {
        first: race.planners[first].clone(),
        second: race.planners[second].clone(),
        measure,
        scenes: by_scene.len(),
        estimate: (!by_scene.is_empty()).then(|| Estimate { value: statistic(&by_scene), interval: found }),
        p,
        adjusted_p: p,
        verdict: Verdict::Noise,
        by_scene,
    }
}

/// First minus second on one scene, of logarithms for ratios; none where there is nothing to compare.
fn on_scene(race: &Race, first: usize, second: usize, scene: usize, measure: Measure) -> Option<f64> {
    let means = |of: &dyn Fn(&Row) -> f64| race.mean(first, scene, of) - race.mean(second, scene, of);
    let cost: fn(&PlanFigures) -> f64 = match measure {
        Measure::Solved => return Some(means(&|row| f64::from(u8::from(row.solved_s().is_some())))),
        Measure::Time => return Some(means(&|row| log_time(row, race.time_limit_s))),
        Measure::Makespan => |plan| plan.makespan_s,
        Measure::Moves => |plan| plan.moves as f64,
        Measure::Energy => |plan| plan.energy_j,
    };
    let pairs = race.runs(first, scene).iter().zip(race.runs(second, scene));
    let logs: Vec<f64> = pairs
        .filter_map(|(a, b)| Some((cost(a.plan.as_ref()?), cost(b.plan.as_ref()?))))
        .filter(|(a, b)| *a > 0.0 && *b > 0.0)
        .map(|(a, b)| (a / b).ln())
        .collect();
    (!logs.is_empty()).then(|| mean(&logs))
}

/// Puts the p values together and says what they mean. Comparisons in which no scene differs are not tested.
fn judge(all: &mut [Difference]) {
    let tested: Vec<usize> = (0..all.len()).filter(|&i| differing(&all[i]) > 0).collect();
    let adjusted = holm::adjusted(&tested.iter().map(|&i| all[i].p).collect::<Vec<_>>());
    for difference in all.iter_mut() {
        difference.verdict = if difference.scenes == 0 { Verdict::TooFewScenes } else { Verdict::None };
    }
    for (&index, &adjusted_p) in tested.iter().zip(&adjusted) {
        let difference = &mut all[index];
        difference.adjusted_p = adjusted_p;
        difference.verdict = if adjusted_p < ALPHA {
            Verdict::Real
        } else if permutation::least_p(differing(difference)) * tested.len() as f64 >= ALPHA {
            Verdict::TooFewScenes
        } else {
            Verdict::Noise
        };
    }
}

/// Scenes that differ at all: only these can speak in a test of signs.
fn differing(difference: &Difference) -> usize {
    difference.by_scene.iter().filter(|d| d.abs() > 1e-12).count()
}

/// The number of differing scenes from which on a difference can be told from chance in a family of so many tests.
pub(crate) fn scenes_needed(tests: usize) -> usize {
    (1..64).find(|&scenes| permutation::least_p(scenes) * (tests as f64) < ALPHA).unwrap_or(64)
}

/// The number of comparisons that were tested.
pub(crate) fn tests(all: &[Difference]) -> usize {
    all.iter().filter(|difference| differing(difference) > 0).count()
}

/// Which side of an estimate is the better one, and whether its interval leaves that open.
pub(crate) fn excludes_none(interval: Interval, measure: Measure) -> bool {
    let none = if measure.is_ratio() { 1.0 } else { 0.0 };
    none < interval.low || none > interval.high
}

#[cfg(test)]
mod tests {
    use super::*;

    fn difference(by_scene: &[f64]) -> Difference {
        Difference {
            first: "a".into(),
            second: "b".into(),
            measure: Measure::Time,
            scenes: by_scene.len(),
            estimate: None,
            p: permutation::paired(by_scene, &mut Random::new(1)),
            adjusted_p: 1.0,
            verdict: Verdict::Noise,
            by_scene: by_scene.to_vec(),
        }
    }

    #[test]
    fn verdicts() {
        let clear = [0.5, 0.4, 0.6, 0.5, 0.7, 0.5, 0.4, 0.3, 0.5, 0.6];
        let mixed = [0.5, -0.4, 0.6, -0.5, 0.7, -0.5, 0.4, -0.3, 0.5, -0.6];
        let few = [0.5, 0.4, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        let mut all = [&clear[..], &mixed, &few, &[0.0; 10], &[]].map(difference);
        judge(&mut all);
        assert_eq!(
            all.map(|d| d.verdict),
            [Verdict::Real, Verdict::Noise, Verdict::TooFewScenes, Verdict::None, Verdict::TooFewScenes]
        );
    }

    /// Five tests: 2/2^n below 0.05/5 from n = 8 on.
    #[test]
    fn how_many_scenes_it_takes() {
        assert_eq!(scenes_needed(5), 8);
        assert_eq!(scenes_needed(1), 6);
    }
}
