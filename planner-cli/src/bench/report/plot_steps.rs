//! Stepped lines: cactus plots and performance profiles.

use super::numbers::short_figure;
use super::plot_axis::{LogAxis, linear_ticks};
use super::plot_frame::{BOTTOM, LINES, Plot, TOP, mark, open, x_axis};
use super::plot_size::{LEFT, RIGHT, WIDTH};
use crate::svg::{Svg, line};

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
            svg.path(&line(&[(LEFT, y), (WIDTH - RIGHT, y)]), "grid");
            svg.text((LEFT - 6.0, y + 4.0), "end", &short_figure(tick));
        }
        x_axis(&mut svg, axis, floor, self.x);
        svg.upright_text((12.0, (floor + TOP) / 2.0), "mid", self.y);
        for (index, corners) in self.lines.iter().enumerate() {
            let mut points = vec![(axis.at(self.x_range.0), height(0.0))];
            for &(x, y) in corners {
                let before = points[points.len() - 1].1;
                points.extend([(axis.at(x), before), (axis.at(x), height(y))]);
            }
            points.push((WIDTH - RIGHT, points[points.len() - 1].1));
            svg.path(&line(&points), &format!("s s{}", index % LINES));
        }
        for (index, corners) in self.lines.iter().enumerate() {
            let every = corners.len().div_ceil(MARKS).max(1);
            for &(x, y) in corners.iter().rev().step_by(every) {
                mark(&mut svg, index, (axis.at(x), height(y)));
            }
        }
        Plot { caption: self.caption.into(), svg: svg.finish() }
    }
}

/// A short piece of a line with its mark, for a legend.
pub(crate) fn sample(index: usize) -> String {
    let mut svg = Svg::in_page(44.0, 14.0, None);
    svg.path(&line(&[(1.0, 7.0), (43.0, 7.0)]), &format!("s s{}", index % LINES));
    mark(&mut svg, index, (22.0, 7.0));
    svg.finish()
}
