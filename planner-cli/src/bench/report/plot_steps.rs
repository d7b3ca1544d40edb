//! Stepped lines: cactus plots and performance profiles.

use super::html::escaped;
use super::numbers::short_figure;
use super::plot_axis::{LogAxis, linear_ticks};
use super::plot_svg::{BOTTOM, LEFT, LINES, Plot, RIGHT, TOP, WIDTH, line, mark, n, open, text, x_axis};
use std::fmt::Write;

const HEIGHT: f64 = 300.0;
/// Most marks on a line.
const MARKS: usize = 24;

/// Stepped lines over a logarithmic axis.
pub(crate) struct Steps<'a> {
    pub(crate) caption: &'a str,
    pub(crate) x: &'a str,
    pub(crate) y: &'a str,
    pub(crate) x_range: (f64, f64),
    pub(crate) y_top: f64,
    /// Corners of each line: from each x on, its y.
    pub(crate) lines: &'a [Vec<(f64, f64)>],
}

impl Steps<'_> {
    pub(crate) fn draw(&self) -> Plot {
        let axis = LogAxis::new(self.x_range.0, self.x_range.1);
        let floor = HEIGHT - BOTTOM;
        let height = |y: f64| floor - y / self.y_top * (floor - TOP);
        let mut svg = open(HEIGHT, self.caption);
        for tick in linear_ticks(self.y_top) {
            let y = height(tick);
            line(&mut svg, "grid", (LEFT, y), (WIDTH - RIGHT, y));
            text(&mut svg, "end", (LEFT - 6.0, y + 4.0), &short_figure(tick));
        }
        x_axis(&mut svg, axis, floor, self.x);
        let _ = writeln!(
            svg,
            "<text class=\"mid\" transform=\"translate(12 {}) rotate(-90)\">{}</text>",
            n((floor + TOP) / 2.0),
            escaped(self.y)
        );
        for (index, corners) in self.lines.iter().enumerate() {
            let mut path = format!("M{} {}", n(axis.at(self.x_range.0)), n(height(0.0)));
            for &(x, y) in corners {
                let _ = write!(path, "H{}V{}", n(axis.at(x)), n(height(y)));
            }
            let _ = write!(path, "H{}", n(WIDTH - RIGHT));
            let _ = writeln!(svg, "<path class=\"s s{}\" d=\"{path}\"/>", index % LINES);
        }
        for (index, corners) in self.lines.iter().enumerate() {
            let every = corners.len().div_ceil(MARKS).max(1);
            for &(x, y) in corners.iter().rev().step_by(every) {
                mark(&mut svg, index, (axis.at(x), height(y)));
            }
        }
        Plot { caption: self.caption.into(), svg: svg + "</svg>\n" }
    }
}

/// A short piece of a line with its mark, for a legend.
pub(crate) fn sample(index: usize) -> String {
    let mut svg = "<svg viewBox=\"0 0 44 14\" aria-hidden=\"true\">".to_owned();
    let _ = write!(svg, "<path class=\"s s{}\" d=\"M1 7H43\"/>", index % LINES);
    mark(&mut svg, index, (22.0, 7.0));
    svg.trim_end().to_owned() + "</svg>"
}
