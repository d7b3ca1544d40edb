//! The figures of each planner.

use super::contradictions::Contradiction;
use super::race::Race;
use crate::args::ReportArgs;
use crate::bench::row::{Ending, PlanFigures, Row};
use crate::bench::statistics::bootstrap::{Interval, interval};
use crate::bench::statistics::means::{mean, shifted_geometric_mean};
use crate::bench::statistics::random::Random;
use crate::bench::statistics::scores;
use serde::Serialize;
use std::collections::BTreeMap;

/// Shift of geometric means of times, in seconds.
pub(crate) const SHIFT_S: f64 = 1.0;
/// Level of all intervals.
pub(crate) const LEVEL: f64 = 0.95;

/// A mean over scenes with its interval.
#[derive(Clone, Copy, Debug, Serialize)]
pub(crate) struct Estimate {
    pub(crate) value: f64,
    pub(crate) interval: Option<Interval>,
}

/// What can be said of one planner.
#[derive(Serialize)]
pub(crate) struct PlannerFigures {
    pub(crate) name: String,
    pub(crate) runs: usize,
    /// How many runs ended in which way, by the words of the results file.
    pub(crate) endings: BTreeMap<Ending, usize>,
    /// Share of the runs of a scene that were solved, mean over scenes.
    pub(crate) solved: Estimate,
    /// Mean time, twice the limit where not solved.
    pub(crate) par2_s: Estimate,
    /// Shifted geometric mean of the time, the limit where not solved.
    pub(crate) time_s: Estimate,
    /// Sums over scenes of the mean score of their runs.
    pub(crate) agile: f64,
    pub(crate) quality: Quality,
    /// Scenes on which it gave a wrong answer.
    pub(crate) void_scenes: usize,
    /// Over the runs that all planners solved.
    pub(crate) plans: Option<PlanMeans>,
}

/// Sums over scenes of `best / cost`.
#[derive(Serialize)]
pub(crate) struct Quality {
    pub(crate) makespan: f64,
    pub(crate) moves: f64,
    pub(crate) energy: f64,
}

/// Means over plans; geometric for what is compared by ratios.
#[derive(Serialize)]
pub(crate) struct PlanMeans {
    pub(crate) runs: usize,
    pub(crate) moves: f64,
    pub(crate) makespan_s: f64,
    pub(crate) energy_j: f64,
    pub(crate) margin: f64,
    /// Least margin of any plan.
    pub(crate) least_margin: f64,
    /// Makespan over the best lower bound known, where there is one.
    pub(crate) over_bound: Option<f64>,
}

pub(crate) fn figures(
    race: &Race,
    contradictions: &[Contradiction],
    args: &ReportArgs,
) -> Vec<PlannerFigures> {
    let common = common_plans(race);
    let of = |planner: usize| {
        let void: Vec<usize> = (0..race.scenes.len())
            .filter(|&scene| contradictions.iter().any(|c| (c.planner, c.scene) == (planner, scene)))
            .collect();
        let estimate = |of: &dyn Fn(&Row) -> f64, statistic: fn(&[f64]) -> f64| {
            let values: Vec<f64> =
                (0..race.scenes.len()).map(|scene| race.mean(planner, scene, of)).collect();
            let interval =
                interval(&values, statistic, LEVEL, args.resamples as usize, &mut Random::new(args.seed));
            Estimate { value: statistic(&values), interval }
        };
        let mut endings = BTreeMap::new();
        race.of(planner).for_each(|row| *endings.entry(row.status).or_insert(0) += 1);
        let limit_s = race.time_limit_s;
        let cost = |of: fn(&PlanFigures) -> f64| quality(race, planner, &void, of);
        PlannerFigures {
            name: race.planners[planner].clone(),
            runs: race.of(planner).count(),
            endings,
            solved: estimate(&|row| f64::from(u8::from(row.solved_s().is_some())), mean),
            par2_s: estimate(&|row| scores::penalised_s(row.solved_s(), limit_s, 2.0), mean),
            time_s: estimate(&|row| log_time(row, limit_s), unshifted),
            agile: agile(race, planner, &void),
            quality: Quality {
                makespan: cost(|plan| plan.makespan_s),
                moves: cost(|plan| plan.moves as f64),
                energy: cost(|plan| plan.energy_j),
            },
            void_scenes: void.len(),
            plans: plan_means(&common, planner),
        }
    };
    (0..race.planners.len()).map(of).collect()
}

/// Logarithm of the shifted time, the limit where not solved.
pub(crate) fn log_time(row: &Row, limit_s: f64) -> f64 {
    (scores::penalised_s(row.solved_s(), limit_s, 1.0).min(limit_s) + SHIFT_S).ln()
}

/// From logarithms of shifted times to their shifted geometric mean.
fn unshifted(logs: &[f64]) -> f64 {
    mean(logs).exp() - SHIFT_S
}

fn agile(race: &Race, planner: usize, void: &[usize]) -> f64 {
    let score = |row: &Row| scores::agile(row.solved_s(), race.time_limit_s);
    scored(race, void).map(|scene| race.mean(planner, scene, score)).sum()
}

fn quality(race: &Race, planner: usize, void: &[usize], cost: fn(&PlanFigures) -> f64) -> f64 {
    let of = |scene: usize| {
        let best = race.plans(scene).map(cost).reduce(f64::min).unwrap_or(0.0);
        race.mean(planner, scene, |row| scores::quality(best, row.plan.as_ref().map(cost)))
    };
    scored(race, void).map(of).sum()
}

/// Scenes that score: all but those with a wrong answer, and none after two wrong answers.
fn scored<'a>(race: &Race, void: &'a [usize]) -> impl Iterator<Item = usize> + 'a {
    (0..race.scenes.len()).filter(|scene| void.len() < 2 && !void.contains(scene))
}

/// Runs that all planners solved: for each the best bound of the scene and the plans by planner.
fn common_plans(race: &Race) -> Vec<(f64, Vec<&PlanFigures>)> {
    let mut common = Vec::new();
    for scene in 0..race.scenes.len() {
        let bound_s = race.plans(scene).map(|plan| plan.lower_bound_s).fold(0.0, f64::max);
        for round in 0..race.runs(0, scene).len() {
            let plans: Option<Vec<&PlanFigures>> = (0..race.planners.len())
                .map(|planner| race.runs(planner, scene)[round].plan.as_ref())
                .collect();
            common.extend(plans.map(|plans| (bound_s, plans)));
        }
    }
    common
}

fn plan_means(common: &[(f64, Vec<&PlanFigures>)], planner: usize) -> Option<PlanMeans> {
    let values = |of: fn(&PlanFigures) -> f64| -> Vec<f64> {
        common.iter().map(|(_, plans)| of(plans[planner])).collect()
    };
    // A crew that stands as asked makes no moves: a shift of next to nothing keeps the logarithm finite.
    let geometric = |of| shifted_geometric_mean(&values(of), 1e-9);
    let over: Vec<f64> = common
        .iter()
        .filter(|(bound_s, _)| *bound_s > 0.0)
        .map(|(bound_s, plans)| plans[planner].makespan_s / bound_s)
        .collect();
    let margins = values(|plan| plan.margin);
    (!common.is_empty()).then(|| PlanMeans {
        runs: common.len(),
        moves: geometric(|plan| plan.moves as f64),
        makespan_s: geometric(|plan| plan.makespan_s),
        energy_j: geometric(|plan| plan.energy_j),
        margin: mean(&margins),
        least_margin: margins.iter().copied().fold(f64::INFINITY, f64::min),
        over_bound: (!over.is_empty()).then(|| shifted_geometric_mean(&over, 0.0)),
    })
}
