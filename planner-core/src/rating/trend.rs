//! Whether the force drifts with temperature or with time.

use super::pull::Pull;
use super::series::Series;
use super::statistics::{slope_within_groups, slope_within_groups_and_subjects};
use indexmap::IndexSet;
use serde::Serialize;

/// A drift of the force, common to all series: relative to the mean of each.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Trend {
    /// The relative change for each kelvin, or from the first pull to the last.
    pub change: f64,
    /// The lower end of its 95 % interval.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The least temperature, or 0.
    pub from: f64,
    /// The greatest temperature, or 1.
    pub to: f64,
}

impl Trend {
    /// Whether chance alone is no likely cause (5 %).
    #[must_use]
    pub fn is_real(&self) -> bool {
        self.low > 0.0 || self.high < 0.0
    }
}

/// Over the temperature, of all pulls that came off and have one.
pub(super) fn over_temperature(series: &[Series], pulls: &[Pull]) -> Option<Trend> {
    over(series, pulls, |index| pulls[index].temperature_c)
}

/// Over the order in time: by date, then by row. From 0 for the first pull to 1 for the last.
pub(super) fn over_time(series: &[Series], pulls: &[Pull]) -> Option<Trend> {
    let order = pulls_in_time(series, pulls);
    let last = order.len().saturating_sub(1).max(1) as f64;
    let mut places = vec![None; pulls.len()];
    for (place, index) in order.into_iter().enumerate() {
        places[index] = Some(place as f64 / last);
    }
    over(series, pulls, |index| places[index])
}

/// The pulls that count, by date, then by row: as indices of the tests.
#[must_use]
pub fn pulls_in_time(series: &[Series], pulls: &[Pull]) -> Vec<usize> {
    let mut members: Vec<usize> = series.iter().flat_map(|series| series.members.iter().copied()).collect();
    members.sort_by(|a, b| pulls[*a].date.cmp(&pulls[*b].date).then(a.cmp(b)));
    members
}

/// The common slope. Modules that were pulled in several series have a mean of their own, so that a weak module that always comes last is no drift.
fn over(series: &[Series], pulls: &[Pull], x: impl Fn(usize) -> Option<f64>) -> Option<Trend> {
    let mut modules: IndexSet<&str> = IndexSet::new();
    let (mut points, mut of) = (Vec::new(), Vec::new());
    for (group, series) in series.iter().enumerate().filter(|(_, series)| series.mean_n > 0.0) {
        for index in series.members.iter().filter(|index| !pulls[**index].is_held()) {
            let Some(x) = x(*index) else { continue };
            points.push((x, pulls[*index].force_n / series.mean_n));
            of.push([group, modules.insert_full(&pulls[*index].module).0]);
        }
    }
    let slope = if modules.len() < points.len() {
        slope_within_groups_and_subjects(&points, &of)?
    } else {
        let mut groups = vec![Vec::new(); series.len()];
        points.iter().zip(&of).for_each(|(point, own)| groups[own[0]].push(*point));
        slope_within_groups(&groups)?
    };
    let all = points.iter().map(|point| point.0);
    let (from, to) = (all.clone().fold(f64::INFINITY, f64::min), all.fold(f64::NEG_INFINITY, f64::max));
    Some(Trend { change: slope.value, low: slope.low, high: slope.high, from, to })
}
