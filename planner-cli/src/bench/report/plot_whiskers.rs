//! Estimates with their intervals, one below the other.

use super::plot_axis::LogAxis;
use super::plot_frame::{BOTTOM, Plot, TOP, open, x_axis};
use crate::svg::line;

/// An estimate with its interval, and what is said of it.
pub(crate) struct Whisker {
    pub(crate) words: String,
    pub(crate) value: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
    pub(crate) is_real: bool,
}

/// Ratios with their intervals, one below the other, about a line at 1.
pub(crate) fn whiskers(caption: &str, x: &str, all: &[Whisker]) -> Plot {
    const ROW: f64 = 40.0;
    let farthest = all.iter().flat_map(|w| [w.value, w.low, w.high]).filter(|v| v.is_finite() && *v > 0.0);
    let reach = farthest.map(|v| v.max(1.0 / v)).fold(1.5, f64::max) * 1.1;
    let axis = LogAxis::new(1.0 / reach, reach);
    let floor = TOP + ROW * all.len() as f64 + 6.0;
    let mut svg = open(floor + BOTTOM, caption);
    x_axis(&mut svg, axis, floor, x);
    svg.path(&line(&[(axis.at(1.0), TOP), (axis.at(1.0), floor)]), "axis");
    for (index, whisker) in all.iter().enumerate() {
        let y = TOP + ROW * index as f64 + 28.0;
        svg.text((4.0, y - 14.0), "said", &whisker.words);
        let (low, high) = (axis.at(whisker.low), axis.at(whisker.high));
        let ends = [low, high].map(|x| line(&[(x, y - 4.0), (x, y + 4.0)]));
        svg.path(&(ends.concat() + &line(&[(low, y), (high, y)])), "whisker");
        let class = if whisker.is_real { "solid" } else { "hollow" };
        svg.circle((axis.at(whisker.value), y), 5.0, class);
    }
    Plot { caption: caption.into(), svg: svg.finish() }
}
