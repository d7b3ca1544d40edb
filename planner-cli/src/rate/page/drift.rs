//! Forces over time and over temperature, each relative to the mean of its series, so that all series share a plot.

use crate::bench::report::block::Block;
use crate::bench::report::plane::{Axis, Plane};
use crate::bench::report::plot_frame::Plot;
use crate::rate::Rated;
use clamber_core::Hold;
use clamber_core::unstable::rating::{Trend, pulls_in_time};

/// One pull: where it stands, its force over the mean of its series, whether it was braced, whether it held.
struct Point {
    x: f64,
    y: f64,
    is_braced: bool,
    is_held: bool,
}

pub(super) fn blocks(rated: &Rated) -> Vec<Block> {
    let rating = &rated.rating;
    let order = pulls_in_time(&rating.series, &rated.tests.pulls);
    let in_order =
        |index: usize| order.iter().position(|other| *other == index).map(|place| (place + 1) as f64);
    let temperature = |index: usize| rated.tests.pulls[index].temperature_c;
    let plots = [
        plot(rated, "Force over its series' mean, pulls in the order of their dates", "pull", in_order),
        plot(rated, "Force over its series' mean, by temperature", "temperature in °C", temperature),
    ];
    let words = [
        rating.time.map(|trend| told(&trend, "from the first pull to the last")),
        rating.temperature.map(|trend| told(&trend, "for each kelvin")),
    ];
    let mut blocks = vec![Block::Plots {
        plots: plots.into_iter().flatten().collect(),
        names: vec!["rolling".into(), "braced".into()],
    }];
    blocks.extend(words.into_iter().flatten().map(Block::Text));
    if rating.temperature.is_none() {
        blocks
            .push(Block::Text("No temperature is known, or all pulls of a series were made at one.".into()));
    }
    blocks
}

fn told(trend: &Trend, unit: &str) -> String {
    let [change, low, high] = [trend.change, trend.low, trend.high].map(|v| 100.0 * v);
    let verdict = if trend.is_real() { "" } else { "; that may be chance" };
    format!("The force changes by {change:+.2} % {unit} (95 % interval {low:+.2} to {high:+.2} %){verdict}.")
}

fn plot(rated: &Rated, caption: &str, name: &'static str, x: impl Fn(usize) -> Option<f64>) -> Option<Plot> {
    let mut points = Vec::new();
    for series in rated.rating.series.iter().filter(|series| series.mean_n > 0.0) {
        for index in &series.members {
            let pull = &rated.tests.pulls[*index];
            if let Some(x) = x(*index) {
                let (is_braced, is_held) = (pull.hold == Hold::Braced, pull.is_held());
                points.push(Point { x, y: pull.force_n / series.mean_n, is_braced, is_held });
            }
        }
    }
    if points.is_empty() {
        return None;
    }
    let range = points.iter().map(|p| p.y);
    let (least, most) = (range.clone().fold(1.0, f64::min), range.fold(1.0, f64::max));
    let caption = if points.iter().any(|p| p.is_held) {
        format!("{caption}; hollow: held")
    } else {
        caption.to_owned()
    };
    let y = Axis::over([least, most].into_iter(), "of the mean");
    let mut plane = Plane::new(Axis::over(points.iter().map(|p| p.x), name), y, caption);
    plane.level(1.0, 7);
    for point in points {
        let at = (point.x, point.y);
        if point.is_held { plane.mark_held(at) } else { plane.mark(at, usize::from(point.is_braced)) }
    }
    Some(plane.finish())
}
