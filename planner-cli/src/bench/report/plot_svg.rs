//! The strokes that plots are made of, as SVG. Colours and fonts are those of the page.

use super::html::escaped;
use super::numbers::short_figure;
use super::plot_axis::LogAxis;
use std::fmt::Write;

pub(crate) const WIDTH: f64 = 480.0;
pub(crate) const LEFT: f64 = 48.0;
pub(crate) const RIGHT: f64 = 14.0;
pub(crate) const TOP: f64 = 10.0;
pub(crate) const BOTTOM: f64 = 42.0;
/// Kinds of lines that can be told apart in grey: by their dashes, four marks each.
pub(crate) const LINES: usize = 8;

/// A finished plot.
pub(crate) struct Plot {
    pub(crate) caption: String,
    pub(crate) svg: String,
}

pub(crate) fn open(height: f64, caption: &str) -> String {
    format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">\n",
        n(WIDTH),
        n(height),
        escaped(caption)
    )
}

pub(crate) fn x_axis(svg: &mut String, axis: LogAxis, floor: f64, words: &str) {
    for tick in axis.ticks() {
        let x = axis.at(tick);
        line(svg, "grid", (x, TOP), (x, floor));
        text(svg, "mid", (x, floor + 16.0), &short_figure(tick));
    }
    line(svg, "axis", (LEFT, floor), (WIDTH - RIGHT, floor));
    text(svg, "mid", ((LEFT + WIDTH - RIGHT) / 2.0, floor + 34.0), words);
}

/// A disc, square, triangle or diamond about a point.
pub(crate) fn mark(svg: &mut String, index: usize, (x, y): (f64, f64)) {
    let shape = match index % 4 {
        0 => format!("<circle cx=\"{}\" cy=\"{}\" r=\"4\"", n(x), n(y)),
        1 => format!("<rect x=\"{}\" y=\"{}\" width=\"7.4\" height=\"7.4\"", n(x - 3.7), n(y - 3.7)),
        2 => format!("<path d=\"M{} {}L{} {}H{}Z\"", n(x), n(y - 5.0), n(x + 4.8), n(y + 3.6), n(x - 4.8)),
        _ => format!(
            "<path d=\"M{} {}L{} {}L{} {}L{} {}Z\"",
            n(x),
            n(y - 5.4),
            n(x + 5.4),
            n(y),
            n(x),
            n(y + 5.4),
            n(x - 5.4),
            n(y)
        ),
    };
    let _ = writeln!(svg, "{shape} class=\"m m{}\"/>", index % LINES);
}

pub(crate) fn line(svg: &mut String, class: &str, (x1, y1): (f64, f64), (x2, y2): (f64, f64)) {
    let _ = writeln!(svg, "<path class=\"{class}\" d=\"M{} {}L{} {}\"/>", n(x1), n(y1), n(x2), n(y2));
}

pub(crate) fn text(svg: &mut String, class: &str, (x, y): (f64, f64), words: &str) {
    let _ = writeln!(svg, "<text class=\"{class}\" x=\"{}\" y=\"{}\">{}</text>", n(x), n(y), escaped(words));
}

/// Numbers rounded to hundredths of a pixel, so that bytes do not depend on rounding.
pub(crate) fn n(value: f64) -> String {
    crate::wording::trimmed(value, 2)
}
