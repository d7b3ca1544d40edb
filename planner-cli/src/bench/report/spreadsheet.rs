//! The figures of a report as CSV, with full precision.

use super::Figures;
use super::differences::Difference;
use super::planners::{Estimate, PlannerFigures};
use super::race::Race;
use super::tables::verdict;
use crate::bench::row::{Ending, Row};
use crate::bench::suite::called;
use crate::csv_table;
use crate::failure::Failure;
use crate::number::Number;
use serde::Serialize;

/// One line for each run.
pub(crate) fn runs(race: &Race) -> Result<String, Failure> {
    csv_table::text(race.rows().map(run))
}

/// One line for each planner.
pub(crate) fn planners(figures: &Figures) -> Result<String, Failure> {
    csv_table::text(figures.planners.iter().map(planner))
}

/// One line for each comparison.
pub(crate) fn differences(figures: &Figures) -> Result<String, Failure> {
    csv_table::text(figures.differences.iter().map(difference))
}

/// A run. What is measured, and so differs from one time to the next, comes from `time_s` on.
#[derive(Default, Serialize)]
struct Run<'a> {
    scene: &'a str,
    planner: String,
    seed: u64,
    repeat: u32,
    status: &'static str,
    checked: Option<bool>,
    moves: Option<usize>,
    makespan_s: Option<Number>,
    energy_j: Option<Number>,
    travel_m: Option<Number>,
    utilisation: Option<Number>,
    margin: Option<Number>,
    gap_m: Option<Number>,
    lower_bound_s: Option<Number>,
    uncarried_bound_s: Option<Number>,
    plan_sha256: Option<&'a str>,
    version: &'a str,
    build: &'a str,
    scene_sha256: &'a str,
    time_s: Option<Number>,
    search_s: Option<Number>,
    check_s: Option<Number>,
    cpu_s: Option<Number>,
    wall_s: Number,
    peak_memory_mib: Option<Number>,
    expanded: Option<u64>,
    kept: Option<u64>,
    machine: &'a str,
    note: Option<&'a str>,
}

fn run(row: &Row) -> Run<'_> {
    let (plan, work) = (row.plan.as_ref(), row.work.as_ref());
    Run {
        scene: &row.scene,
        planner: called(&row.planner, &row.options),
        seed: row.seed,
        repeat: row.repeat,
        status: row.status.word(),
        checked: row.checked,
        moves: plan.map(|plan| plan.moves),
        makespan_s: plan.map(|plan| Number(plan.makespan_s)),
        energy_j: plan.map(|plan| Number(plan.energy_j)),
        travel_m: plan.map(|plan| Number(plan.travel_m)),
        utilisation: plan.map(|plan| Number(plan.utilisation)),
        margin: plan.map(|plan| Number(plan.margin)),
        gap_m: plan.and_then(|plan| plan.gap_m).map(Number),
        lower_bound_s: plan.map(|plan| Number(plan.lower_bound_s)),
        uncarried_bound_s: plan.and_then(|plan| plan.uncarried_bound_s).map(Number),
        plan_sha256: plan.map(|plan| plan.sha256.as_str()),
        version: &row.version,
        build: &row.build,
        scene_sha256: &row.scene_sha256,
        time_s: work.map(|work| Number(work.time_s)),
        search_s: work.map(|work| Number(work.search_s)),
        check_s: work.and_then(|work| work.check_s).map(Number),
        cpu_s: work.and_then(|work| work.cpu_s).map(Number),
        wall_s: Number(row.wall_s),
        peak_memory_mib: work.and_then(|work| work.peak_memory_mib).map(Number),
        expanded: work.map(|work| work.expanded),
        kept: work.map(|work| work.kept),
        machine: &row.machine,
        note: row.note.as_deref(),
    }
}

/// A planner: how its runs ended, its scores, and its plans for the runs that all planners solved.
#[derive(Default, Serialize)]
struct Planner<'a> {
    planner: &'a str,
    runs: usize,
    solved: usize,
    proved_impossible: usize,
    gave_up: usize,
    time_out: usize,
    out_of_memory: usize,
    not_sound: usize,
    crashed: usize,
    refused: usize,
    share_solved: Number,
    share_solved_low: Option<Number>,
    share_solved_high: Option<Number>,
    par2_s: Number,
    par2_s_low: Option<Number>,
    par2_s_high: Option<Number>,
    mean_time_s: Number,
    mean_time_s_low: Option<Number>,
    mean_time_s_high: Option<Number>,
    agile: Number,
    quality_makespan: Number,
    quality_moves: Number,
    quality_energy: Number,
    void_scenes: usize,
    common_runs: Option<usize>,
    common_moves: Option<Number>,
    common_makespan_s: Option<Number>,
    common_energy_j: Option<Number>,
    common_margin: Option<Number>,
    common_least_margin: Option<Number>,
    common_makespan_over_bound: Option<Number>,
}

fn planner(of: &PlannerFigures) -> Planner<'_> {
    let ended = |ending| of.endings.get(&ending).copied().unwrap_or(0);
    let plans = of.plans.as_ref();
    let (
        [share_solved_low, share_solved_high],
        [par2_s_low, par2_s_high],
        [mean_time_s_low, mean_time_s_high],
    ) = (ends(&of.solved), ends(&of.par2_s), ends(&of.time_s));
    Planner {
        planner: &of.name,
        runs: of.runs,
        solved: ended(Ending::Solved),
        proved_impossible: ended(Ending::ProvedImpossible),
        gave_up: ended(Ending::Unsolved),
        time_out: ended(Ending::TimeOut),
        out_of_memory: ended(Ending::OutOfMemory),
        not_sound: ended(Ending::NotSound),
        crashed: ended(Ending::Crashed),
        refused: ended(Ending::Refused),
        share_solved: Number(of.solved.value),
        share_solved_low,
        share_solved_high,
        par2_s: Number(of.par2_s.value),
        par2_s_low,
        par2_s_high,
        mean_time_s: Number(of.time_s.value),
        mean_time_s_low,
        mean_time_s_high,
        agile: Number(of.agile),
        quality_makespan: Number(of.quality.makespan),
        quality_moves: Number(of.quality.moves),
        quality_energy: Number(of.quality.energy),
        void_scenes: of.void_scenes,
        common_runs: plans.map(|plans| plans.runs),
        common_moves: plans.map(|plans| Number(plans.moves)),
        common_makespan_s: plans.map(|plans| Number(plans.makespan_s)),
        common_energy_j: plans.map(|plans| Number(plans.energy_j)),
        common_margin: plans.map(|plans| Number(plans.margin)),
        common_least_margin: plans.map(|plans| Number(plans.least_margin)),
        common_makespan_over_bound: plans.and_then(|plans| plans.over_bound).map(Number),
    }
}

/// A comparison of two planners.
#[derive(Default, Serialize)]
struct Comparison<'a> {
    first: &'a str,
    second: &'a str,
    measure: &'static str,
    scenes: usize,
    difference_or_ratio: Option<Number>,
    low: Option<Number>,
    high: Option<Number>,
    p: Number,
    adjusted_p: Number,
    verdict: &'static str,
}

fn difference(of: &Difference) -> Comparison<'_> {
    let [low, high] = of.estimate.as_ref().map_or([None; 2], ends);
    Comparison {
        first: &of.first,
        second: &of.second,
        measure: of.measure.word(),
        scenes: of.scenes,
        difference_or_ratio: of.estimate.as_ref().map(|estimate| Number(estimate.value)),
        low,
        high,
        p: Number(of.p),
        adjusted_p: Number(of.adjusted_p),
        verdict: verdict(of),
    }
}

/// The ends of an interval.
fn ends(estimate: &Estimate) -> [Option<Number>; 2] {
    let interval = estimate.interval;
    [interval.map(|i| Number(i.low)), interval.map(|i| Number(i.high))]
}
