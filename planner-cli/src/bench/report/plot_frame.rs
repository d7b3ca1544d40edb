//! What all plots of a report have in common. Colours and fonts are those of the page.

use super::numbers::short_figure;
use super::plot_axis::LogAxis;
use super::plot_size::{LEFT, RIGHT, WIDTH};
use crate::svg::{Svg, closed, line};

pub(crate) const TOP: f64 = 10.0;
pub(crate) const BOTTOM: f64 = 42.0;
/// Kinds of lines that can be told apart in grey: by their dashes, four marks each.
pub(crate) const LINES: usize = 8;

/// A finished plot.
pub(crate) struct Plot {
    pub(crate) caption: String,
    pub(crate) svg: String,
}

pub(crate) fn open(height: f64, caption: &str) -> Svg {
    Svg::in_page(WIDTH, height, Some(caption))
}

pub(crate) fn x_axis(svg: &mut Svg, axis: LogAxis, floor: f64, words: &str) {
    for tick in axis.ticks() {
        let x = axis.at(tick);
        svg.path(&line(&[(x, TOP), (x, floor)]), "grid");
        svg.text((x, floor + 16.0), "mid", &short_figure(tick));
    }
    svg.path(&line(&[(LEFT, floor), (WIDTH - RIGHT, floor)]), "axis");
    svg.text(((LEFT + WIDTH - RIGHT) / 2.0, floor + 34.0), "mid", words);
}

/// A disc, square, triangle or diamond about a point.
pub(crate) fn mark(svg: &mut Svg, index: usize, (x, y): (f64, f64)) {
    let class = format!("m m{}", index % LINES);
    match index % 4 {
        0 => svg.circle((x, y), 4.0, &class),
        1 => svg.rect((x - 3.7, y - 3.7), (7.4, 7.4), &class),
        2 => svg.path(&closed(&[(x, y - 5.0), (x + 4.8, y + 3.6), (x - 4.8, y + 3.6)]), &class),
        _ => svg.path(&closed(&[(x, y - 5.4), (x + 5.4, y), (x, y + 5.4), (x - 5.4, y)]), &class),
    }
}
