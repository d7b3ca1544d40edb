//! Normal probability plots: on a straight line lies what is normally distributed.

use crate::bench::report::block::Block;
use crate::bench::report::plane::{Axis, Plane};
use crate::bench::report::plot_frame::Plot;
use crate::rate::Rated;
use crate::rate::text::percent;
use crate::wording::fixed;
use clamber_core::unstable::rating::Series;
use clamber_core::unstable::rating::statistics::{normal_quantile, plotting_positions};

/// Shares that are written beside the plot.
const SHARES: [f64; 7] = [0.01, 0.05, 0.2, 0.5, 0.8, 0.95, 0.99];

pub(super) fn block(rated: &Rated) -> Block {
    let plots = rated.rating.series.iter().map(|series| plot(rated, series)).collect();
    Block::Plots { plots, names: Vec::new() }
}

fn plot(rated: &Rated, series: &Series) -> Plot {
    let pulls = series.members.iter().map(|index| &rated.tests.pulls[*index]);
    let mut points: Vec<(f64, bool)> = pulls.map(|pull| (pull.force_n, pull.is_held())).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let held: Vec<bool> = points.iter().map(|point| point.1).collect();
    let places = plotting_positions(&held);
    let drawn = series.log_normal.or(series.normal).map(|normal| normal.limit_n.max(0.0));
    let forces = points.iter().map(|point| point.0).chain(drawn);
    let limit = drawn.map_or_else(String::new, |limit| format!("; limit {} N (dashes)", fixed(limit, 2)));
    let hollow = if series.held > 0 { "; hollow: held" } else { "" };
    let caption = format!("{}: share of pulls below a force{hollow}{limit}", series.name());
    let ticks = SHARES.map(|share| (normal_quantile(share), format!("{} %", percent(share)))).to_vec();
    let x = Axis::over(forces, "force in N");
    let mut plane = Plane::new(x, Axis::with_ticks(-2.6, 2.6, "", ticks), caption);
    if let Some(normal) = series.normal.filter(|normal| normal.sd > 0.0) {
        let at = |z: f64| (normal.mean + z * normal.sd, z);
        // Only as far as the plot reaches.
        let inside = |z: &f64| {
            let force = at(*z).0;
            force >= plane.least_x() && force <= plane.most_x()
        };
        let line: Vec<(f64, f64)> =
            (-260..=260).map(|i| f64::from(i) / 100.0).filter(inside).map(at).collect();
        if let [first, .., last] = line.as_slice() {
            let ends = [*first, *last];
            plane.line(&ends, 0);
        }
    }
    if let Some(limit) = drawn {
        plane.upright(limit, 1);
    }
    for ((force, is_held), place) in points.into_iter().zip(places) {
        let point = (force, normal_quantile(place.clamp(0.005, 0.995)));
        if is_held { plane.mark_held(point) } else { plane.mark(point, 0) }
    }
    plane.finish()
}
