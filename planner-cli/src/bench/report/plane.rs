//! A plot of points and lines over two evenly divided axes.

use super::numbers::short_figure;
use super::plot_axis::linear_ticks;
use super::plot_frame::{BOTTOM, Plot, TOP, mark, open};
use super::plot_size::{LEFT, RIGHT, WIDTH};
use crate::svg::{Svg, closed, line};

const HEIGHT: f64 = 320.0;

/// The range of an axis, its name, and what is written beside it.
pub(crate) struct Axis {
    from: f64,
    to: f64,
    name: &'static str,
    ticks: Vec<(f64, String)>,
}

impl Axis {
    /// From 0 to a little more than a value.
    pub(crate) fn from_zero(to: f64, name: &'static str) -> Self {
        Self::between(0.0, 1.06 * to.max(1e-9), name)
    }

    /// Over some values, with a margin.
    pub(crate) fn over(values: impl Iterator<Item = f64> + Clone, name: &'static str) -> Self {
        let (from, to) =
            (values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max));
        let (from, to) = if from <= to { (from, to) } else { (0.0, 1.0) };
        let margin = (0.06 * (to - from)).max(1e-3 * to.abs()).max(1e-9);
        Self::between(from - margin, to + margin, name)
    }

    fn between(from: f64, to: f64, name: &'static str) -> Self {
        let step = linear_ticks(to - from).get(1).copied().unwrap_or(to - from);
        let first = (from / step).ceil();
        let ticks = (0..12).map(|i| (first + f64::from(i)) * step).take_while(|tick| *tick <= to);
        Self { from, to, name, ticks: ticks.map(|tick| (tick, short_figure(tick))).collect() }
    }

    /// With these values written beside it.
    pub(crate) fn with_ticks(from: f64, to: f64, name: &'static str, ticks: Vec<(f64, String)>) -> Self {
        Self { from, to, name, ticks }
    }

    fn share(&self, value: f64) -> f64 {
        ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }
}

/// A plot that grows.
pub(crate) struct Plane {
    svg: Svg,
    x: Axis,
    y: Axis,
    caption: String,
}

impl Plane {
    pub(crate) fn new(x: Axis, y: Axis, caption: String) -> Self {
        let mut plane = Self { svg: open(HEIGHT, &caption), x, y, caption };
        let floor = HEIGHT - BOTTOM;
        for (tick, words) in std::mem::take(&mut plane.x.ticks) {
            let (x, _) = plane.at((tick, plane.y.from));
            plane.svg.path(&line(&[(x, TOP), (x, floor)]), "grid");
            plane.svg.text((x, floor + 16.0), "mid", &words);
        }
        for (tick, words) in std::mem::take(&mut plane.y.ticks) {
            let (_, y) = plane.at((plane.x.from, tick));
            plane.svg.path(&line(&[(LEFT, y), (WIDTH - RIGHT, y)]), "grid");
            plane.svg.text((LEFT - 6.0, y + 4.0), "end", &words);
        }
        plane.svg.path(&line(&[(LEFT, TOP), (LEFT, floor), (WIDTH - RIGHT, floor)]), "axis");
        plane.svg.text(((LEFT + WIDTH - RIGHT) / 2.0, floor + 34.0), "mid", plane.x.name);
        plane.svg.upright_text((12.0, (floor + TOP) / 2.0), "mid", plane.y.name);
        plane
    }

    fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let floor = HEIGHT - BOTTOM;
        (LEFT + self.x.share(x) * (WIDTH - LEFT - RIGHT), floor - self.y.share(y) * (floor - TOP))
    }

    /// The range of the axis at the bottom.
    pub(crate) fn least_x(&self) -> f64 {
        self.x.from
    }

    pub(crate) fn most_x(&self) -> f64 {
        self.x.to
    }

    /// A line through points, of a style from 0 to 7.
    pub(crate) fn line(&mut self, points: &[(f64, f64)], style: usize) {
        let points: Vec<(f64, f64)> = points.iter().map(|point| self.at(*point)).collect();
        self.svg.path(&line(&points), &format!("s s{style}"));
    }

    /// A line from the left edge to the right one.
    pub(crate) fn level(&mut self, y: f64, style: usize) {
        self.line(&[(self.x.from, y), (self.x.to, y)], style);
    }

    /// A line from the floor to the top.
    pub(crate) fn upright(&mut self, x: f64, style: usize) {
        self.line(&[(x, self.y.from), (x, self.y.to)], style);
    }

    /// A mark of a style from 0 to 7.
    pub(crate) fn mark(&mut self, point: (f64, f64), style: usize) {
        let at = self.at(point);
        mark(&mut self.svg, style, at);
    }

    /// The mark of a pull that held: hollow, and pointing to where its hold lies.
    pub(crate) fn mark_held(&mut self, point: (f64, f64)) {
        let (x, y) = self.at(point);
        self.svg.path(&closed(&[(x - 3.5, y - 4.5), (x + 5.0, y), (x - 3.5, y + 4.5)]), "hollow");
    }

    pub(crate) fn finish(self) -> Plot {
        Plot { caption: self.caption, svg: self.svg.finish() }
    }
}
