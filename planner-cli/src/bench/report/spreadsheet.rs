//! The figures of a report as CSV (RFC 4180), with full precision.

use super::Figures;
use super::differences::Difference;
use super::planners::{Estimate, PlannerFigures};
use super::race::Race;
use super::tables::verdict;
use crate::bench::row::{Ending, Row};
use crate::bench::suite::called;
use crate::failure::Failure;

/// One line for each run.
pub(crate) fn runs(race: &Race) -> Result<String, Failure> {
    let headings = [
        "scene",
        "planner",
        "seed",
        "repeat",
        "status",
        "checked",
        "moves",
        "makespan_s",
        "energy_j",
        "travel_m",
        "utilisation",
        "margin",
        "gap_m",
        "lower_bound_s",
        "uncarried_bound_s",
        "plan_sha256",
        "version",
        "build",
        "scene_sha256",
        "time_s",
        "search_s",
        "check_s",
        "cpu_s",
        "wall_s",
        "peak_memory_mib",
        "expanded",
        "kept",
        "machine",
        "note",
    ];
    table(&headings, race.rows().map(run))
}

fn run(row: &Row) -> Vec<String> {
    let number = |value: Option<f64>| value.map(|value| value.to_string()).unwrap_or_default();
    let (plan, work) = (row.plan.as_ref(), row.work.as_ref());
    vec![
        row.scene.clone(),
        called(&row.planner, &row.options),
        row.seed.to_string(),
        row.repeat.to_string(),
        row.status.word().into(),
        row.checked.map(|checked| checked.to_string()).unwrap_or_default(),
        plan.map(|plan| plan.moves.to_string()).unwrap_or_default(),
        number(plan.map(|plan| plan.makespan_s)),
        number(plan.map(|plan| plan.energy_j)),
        number(plan.map(|plan| plan.travel_m)),
        number(plan.map(|plan| plan.utilisation)),
        number(plan.map(|plan| plan.margin)),
        number(plan.and_then(|plan| plan.gap_m)),
        number(plan.map(|plan| plan.lower_bound_s)),
        number(plan.and_then(|plan| plan.uncarried_bound_s)),
        plan.map(|plan| plan.sha256.clone()).unwrap_or_default(),
        row.version.clone(),
        row.build.clone(),
        row.scene_sha256.clone(),
        number(work.map(|work| work.time_s)),
        number(work.map(|work| work.search_s)),
        number(work.and_then(|work| work.check_s)),
        number(work.and_then(|work| work.cpu_s)),
        number(Some(row.wall_s)),
        number(work.and_then(|work| work.peak_memory_mib)),
        work.map(|work| work.expanded.to_string()).unwrap_or_default(),
        work.map(|work| work.kept.to_string()).unwrap_or_default(),
        row.machine.clone(),
        row.note.clone().unwrap_or_default(),
    ]
}

/// One line for each planner.
pub(crate) fn planners(figures: &Figures) -> Result<String, Failure> {
    let mut headings: Vec<String> = ["planner", "runs"].map(str::to_owned).to_vec();
    headings.extend(Ending::WORDS.map(|(_, word)| word.replace(' ', "_")));
    for name in ["share_solved", "par2_s", "mean_time_s"] {
        headings.extend(["", "_low", "_high"].map(|end| format!("{name}{end}")));
    }
    headings.extend(
        [
            "agile",
            "quality_makespan",
            "quality_moves",
            "quality_energy",
            "void_scenes",
            "common_runs",
            "common_moves",
            "common_makespan_s",
            "common_energy_j",
            "common_margin",
            "common_least_margin",
            "common_makespan_over_bound",
        ]
        .map(str::to_owned),
    );
    table(&headings, figures.planners.iter().map(planner))
}

fn planner(of: &PlannerFigures) -> Vec<String> {
    let mut cells = vec![of.name.clone(), of.runs.to_string()];
    cells.extend(Ending::WORDS.map(|(ending, _)| of.endings.get(&ending).unwrap_or(&0).to_string()));
    for estimate in [&of.solved, &of.par2_s, &of.time_s] {
        cells.extend(three(Some(estimate)));
    }
    cells.extend([of.agile, of.quality.makespan, of.quality.moves, of.quality.energy].map(|v| v.to_string()));
    cells.push(of.void_scenes.to_string());
    match &of.plans {
        None => cells.extend([const { String::new() }; 7]),
        Some(plans) => {
            cells.push(plans.runs.to_string());
            let values = [plans.moves, plans.makespan_s, plans.energy_j, plans.margin, plans.least_margin];
            cells.extend(values.map(|value| value.to_string()));
            cells.push(plans.over_bound.map(|value| value.to_string()).unwrap_or_default());
        }
    }
    cells
}

/// One line for each comparison.
pub(crate) fn differences(figures: &Figures) -> Result<String, Failure> {
    let headings = [
        "first",
        "second",
        "measure",
        "scenes",
        "difference_or_ratio",
        "low",
        "high",
        "p",
        "adjusted_p",
        "verdict",
    ];
    let row = |of: &Difference| {
        let mut cells =
            vec![of.first.clone(), of.second.clone(), of.measure.word().into(), of.scenes.to_string()];
        cells.extend(three(of.estimate.as_ref()));
        cells.extend([of.p.to_string(), of.adjusted_p.to_string(), verdict(of).into()]);
        cells
    };
    table(&headings, figures.differences.iter().map(row))
}

fn three(estimate: Option<&Estimate>) -> [String; 3] {
    let interval = estimate.and_then(|estimate| estimate.interval);
    [estimate.map(|e| e.value), interval.map(|i| i.low), interval.map(|i| i.high)]
        .map(|value| value.map(|value| value.to_string()).unwrap_or_default())
}

fn table<H: AsRef<[u8]>>(headings: &[H], rows: impl Iterator<Item = Vec<String>>) -> Result<String, Failure> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let internal = |error: String| Failure::not_sound(format!("internal error: no table: {error}"));
    writer.write_record(headings).map_err(|error| internal(error.to_string()))?;
    for row in rows {
        writer.write_record(row).map_err(|error| internal(error.to_string()))?;
    }
    let bytes = writer.into_inner().map_err(|error| internal(error.to_string()))?;
    String::from_utf8(bytes).map_err(|error| internal(error.to_string()))
}
