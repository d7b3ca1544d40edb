//! Figures of each planner on each scene.

use super::race::Race;
use crate::args::ReportArgs;
use crate::bench::statistics::means::median;
use crate::bench::statistics::permutation;
use crate::bench::statistics::random::Random;
use serde::Serialize;

/// A planner on a scene.
#[derive(Serialize)]
pub(crate) struct SceneFigures {
    pub(crate) scene: String,
    pub(crate) planner: String,
    pub(crate) runs: usize,
    pub(crate) solved: usize,
    /// Over solved runs.
    pub(crate) time_s: Option<Spread>,
    pub(crate) moves: Option<Spread>,
    pub(crate) makespan_s: Option<Spread>,
    pub(crate) energy_j: Option<Spread>,
    /// Least of any plan.
    pub(crate) margin: Option<f64>,
    /// Best makespan over the best lower bound known.
    pub(crate) over_bound: Option<f64>,
    /// Best makespan of a plan in which nobody is carried over the lower bound for such plans.
    pub(crate) over_uncarried_bound: Option<f64>,
    /// Median time over that of the quickest planner on the scene, of those that solved all runs.
    pub(crate) behind: Option<Behind>,
}

/// Least, median and most.
#[derive(Clone, Copy, Serialize)]
pub(crate) struct Spread {
    pub(crate) least: f64,
    pub(crate) median: f64,
    pub(crate) most: f64,
}

/// How far behind the quickest.
#[derive(Clone, Copy, Serialize)]
pub(crate) struct Behind {
    pub(crate) ratio: f64,
    /// Two-sided p that the mean logarithms of the times differ by chance, by exchanging runs between the two; none for the
    /// quickest itself.
    pub(crate) p: Option<f64>,
}

pub(crate) fn figures(race: &Race, args: &ReportArgs) -> Vec<SceneFigures> {
    let mut all = Vec::new();
    for scene in 0..race.scenes.len() {
        let bound_s = race.plans(scene).map(|plan| plan.lower_bound_s).fold(0.0, f64::max);
        let times: Vec<Vec<f64>> = (0..race.planners.len())
            .map(|planner| race.runs(planner, scene).iter().filter_map(|row| row.solved_s()).collect())
            .collect();
        let is_whole = |planner: usize| times[planner].len() == race.runs(planner, scene).len();
        let quickest = (0..race.planners.len())
            .filter(|&planner| is_whole(planner))
            .min_by(|&a, &b| median(&times[a]).total_cmp(&median(&times[b])));
        for planner in 0..race.planners.len() {
            let runs = race.runs(planner, scene);
            let plans: Vec<_> = runs.iter().filter_map(|row| row.plan.as_ref()).collect();
            let of = |value: fn(&crate::bench::row::PlanFigures) -> f64| {
                spread(&plans.iter().map(|plan| value(plan)).collect::<Vec<_>>())
            };
            let makespan_s = of(|plan| plan.makespan_s);
            all.push(SceneFigures {
                scene: race.scenes[scene].clone(),
                planner: race.planners[planner].clone(),
                runs: runs.len(),
                solved: plans.len(),
                time_s: spread(&times[planner]),
                moves: of(|plan| plan.moves as f64),
                makespan_s,
                energy_j: of(|plan| plan.energy_j),
                margin: of(|plan| plan.margin).map(|margin| margin.least),
                over_bound: makespan_s.filter(|_| bound_s > 0.0).map(|makespan| makespan.least / bound_s),
                over_uncarried_bound: plans
                    .iter()
                    .filter_map(|plan| plan.uncarried_bound_s.map(|bound_s| (plan.makespan_s, bound_s)))
                    .filter(|(_, bound_s)| *bound_s > 0.0)
                    .map(|(makespan_s, bound_s)| makespan_s / bound_s)
                    .reduce(f64::min),
                behind: quickest.filter(|_| is_whole(planner)).map(|quickest| {
                    behind(&times[quickest], &times[planner], quickest == planner, args.seed)
                }),
            });
        }
    }
    all
}

fn behind(quickest: &[f64], times: &[f64], is_itself: bool, seed: u64) -> Behind {
    let logs = |times: &[f64]| times.iter().map(|t| t.max(1e-6).ln()).collect::<Vec<_>>();
    let p = permutation::unpaired(&logs(times), &logs(quickest), &mut Random::new(seed));
    Behind { ratio: median(times) / median(quickest), p: (!is_itself).then_some(p) }
}

fn spread(values: &[f64]) -> Option<Spread> {
    let least = values.iter().copied().reduce(f64::min)?;
    let most = values.iter().copied().reduce(f64::max)?;
    Some(Spread { least, median: median(values), most })
}
