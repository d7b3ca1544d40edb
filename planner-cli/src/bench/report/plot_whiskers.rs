//! Estimates with their intervals, one below the other.

use super::html::escaped;
use super::plot_axis::LogAxis;
use super::plot_svg::{BOTTOM, Plot, TOP, line, n, open, x_axis};
use std::fmt::Write;

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
    line(&mut svg, "axis", (axis.at(1.0), TOP), (axis.at(1.0), floor));
    for (index, whisker) in all.iter().enumerate() {
        let y = TOP + ROW * index as f64 + 28.0;
        let _ = writeln!(
            svg,
            "<text class=\"said\" x=\"{}\" y=\"{}\">{}</text>",
            n(4.0),
            n(y - 14.0),
            escaped(&whisker.words)
        );
        let (low, high) = (axis.at(whisker.low), axis.at(whisker.high));
        let ends = format!(
            "M{} {}V{}M{} {}H{}M{} {}V{}",
            n(low),
            n(y - 4.0),
            n(y + 4.0),
            n(low),
            n(y),
            n(high),
            n(high),
            n(y - 4.0),
            n(y + 4.0)
        );
        let _ = writeln!(svg, "<path class=\"whisker\" d=\"{ends}\"/>");
        let class = if whisker.is_real { "solid" } else { "hollow" };
        let _ = writeln!(
            svg,
            "<circle class=\"{class}\" cx=\"{}\" cy=\"{}\" r=\"5\"/>",
            n(axis.at(whisker.value)),
            n(y)
        );
    }
    Plot { caption: caption.into(), svg: svg + "</svg>\n" }
}
