//! The plots of a report.

use super::block::Block;
use super::differences::{Difference, Measure, Verdict};
use super::numbers::difference_text;
use super::plot_frame::Plot;
use super::plot_steps::Steps;
use super::plot_whiskers::{Whisker, whiskers};
use super::race::Race;
use super::tables::verdict;
use crate::bench::row::{PlanFigures, Row};
use crate::bench::statistics::{cactus, profile};

/// Cactus plot and performance profiles.
pub(crate) fn all(race: &Race) -> Block {
    let plots = vec![
        of_times(race),
        of_ratios(race, "Time: runs solved within a factor of the quickest", Row::solved_s),
        of_ratios(race, "Makespan: runs solved within a factor of the shortest", |row| {
            cost(row, |p| p.makespan_s)
        }),
        of_ratios(race, "Energy: runs solved within a factor of the least", |row| cost(row, |p| p.energy_j)),
    ];
    Block::Plots { plots, names: race.planners.clone() }
}

fn cost(row: &Row, of: fn(&PlanFigures) -> f64) -> Option<f64> {
    row.plan.as_ref().map(of)
}

/// By planner, then run.
fn by_planner(race: &Race, of: impl Fn(&Row) -> Option<f64>) -> Vec<Vec<Option<f64>>> {
    (0..race.planners.len()).map(|planner| race.of(planner).map(&of).collect()).collect()
}

fn of_times(race: &Race) -> Plot {
    let times = by_planner(race, Row::solved_s);
    let lines: Vec<Vec<(f64, f64)>> = times
        .iter()
        .map(|times| cactus::cactus(times).into_iter().map(|(t, n)| (t, n as f64)).collect())
        .collect();
    let quickest = times.iter().flatten().flatten().copied().fold(race.time_limit_s, f64::min);
    Steps {
        caption: "Runs solved within a time (cactus plot)",
        x: "time in s",
        y: "runs solved",
        x_range: (quickest.max(1e-3) / 1.5, race.time_limit_s),
        y_top: times.first().map_or(1, Vec::len) as f64,
        lines: &lines,
    }
    .draw()
}

fn of_ratios(race: &Race, caption: &str, of: impl Fn(&Row) -> Option<f64>) -> Plot {
    let ratios = profile::ratios(&by_planner(race, of));
    let lines: Vec<Vec<(f64, f64)>> = ratios
        .iter()
        .map(|ratios| profile::steps(ratios).into_iter().map(|(tau, share)| (tau, 100.0 * share)).collect())
        .collect();
    let most = ratios.iter().flatten().flatten().copied().fold(1.5, f64::max);
    Steps { caption, x: "factor", y: "% of runs", x_range: (1.0, most * 1.1), y_top: 100.0, lines: &lines }
        .draw()
}

/// Ratios of times and makespans with their intervals.
pub(crate) fn differences(all: &[Difference]) -> Block {
    let of = |measure: Measure| {
        let whiskers: Vec<Whisker> =
            all.iter().filter(|d| d.measure == measure).filter_map(whisker).collect();
        (measure, whiskers)
    };
    let plots = [Measure::Time, Measure::Makespan]
        .map(of)
        .into_iter()
        .filter(|(_, all)| !all.is_empty())
        .map(|(measure, all)| {
            let caption = format!("Ratio of {}, with its 95 % interval", measure.word());
            whiskers(&caption, "first over second; hollow: perhaps by chance", &all)
        })
        .collect();
    Block::Plots { plots, names: Vec::new() }
}

fn whisker(difference: &Difference) -> Option<Whisker> {
    let estimate = difference.estimate?;
    let (low, high) = estimate.interval.map_or((estimate.value, estimate.value), |i| (i.low, i.high));
    let value = difference_text(difference.measure, &estimate);
    let words = format!("{} / {}: {value}, {}", difference.first, difference.second, verdict(difference));
    Some(Whisker { words, value: estimate.value, low, high, is_real: difference.verdict == Verdict::Real })
}
