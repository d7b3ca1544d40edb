//! Draws plots as SVG: stepped lines, and estimates with their intervals. Lines differ in colour, dashes and marks, so that they can be told
//! apart in grey; colours and fonts are those of the page.

use super::html::escaped;
use super::numbers::short_figure;
use std::fmt::Write;

const WIDTH: f64 = 480.0;
const HEIGHT: f64 = 300.0;
const LEFT: f64 = 48.0;
const RIGHT: f64 = 14.0;
const TOP: f64 = 10.0;
const BOTTOM: f64 = 42.0;
/// Kinds of lines that can be told apart.
const LINES: usize = 8;
/// Most marks on a line.
const MARKS: usize = 24;

/// A finished plot.
pub(crate) struct Plot {
    pub(crate) caption: String,
    pub(crate) svg: String,
}

/// An axis on which equal ratios have equal lengths.
#[derive(Clone, Copy)]
struct LogAxis {
    from: f64,
    to: f64,
}

impl LogAxis {
    fn new(from: f64, to: f64) -> Self {
        let from = from.max(1e-9);
        Self { from, to: to.max(from * 1.001) }
    }

    fn at(self, value: f64) -> f64 {
        let share = (value.max(self.from) / self.from).ln() / (self.to / self.from).ln();
        LEFT + share.min(1.0) * (WIDTH - LEFT - RIGHT)
    }

    /// At most seven round values: evenly spaced over a short axis, else 1, 2, 5, 10, ... or only powers of ten.
    fn ticks(self) -> Vec<f64> {
        let within = |tick: &f64| (self.from * (1.0 - 1e-9)..=self.to * (1.0 + 1e-9)).contains(tick);
        if self.to < 3.0 * self.from {
            let step = round_step(self.to - self.from);
            let first = (self.from / step).floor();
            return (0..9).map(|i| (first + f64::from(i)) * step).filter(within).collect();
        }
        for steps in [&[1.0, 1.5, 2.0, 3.0, 5.0, 7.0][..], &[1.0, 2.0, 5.0], &[1.0, 3.0], &[1.0]] {
            let powers = self.from.log10().floor() as i32..=self.to.log10().ceil() as i32;
            let ticks: Vec<f64> = powers
                .flat_map(|power| steps.iter().map(move |step| step * 10.0_f64.powi(power)))
                .filter(within)
                .collect();
            if ticks.len() <= 7 || steps.len() == 1 {
                return ticks;
            }
        }
        Vec::new()
    }
}

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

/// A short piece of a line with its mark, for a legend.
pub(crate) fn sample(index: usize) -> String {
    let mut svg = "<svg viewBox=\"0 0 44 14\" aria-hidden=\"true\">".to_owned();
    let _ = write!(svg, "<path class=\"s s{}\" d=\"M1 7H43\"/>", index % LINES);
    mark(&mut svg, index, (22.0, 7.0));
    svg.trim_end().to_owned() + "</svg>"
}

fn open(height: f64, caption: &str) -> String {
    format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">\n",
        n(WIDTH),
        n(height),
        escaped(caption)
    )
}

fn x_axis(svg: &mut String, axis: LogAxis, floor: f64, words: &str) {
    for tick in axis.ticks() {
        let x = axis.at(tick);
        line(svg, "grid", (x, TOP), (x, floor));
        text(svg, "mid", (x, floor + 16.0), &short_figure(tick));
    }
    line(svg, "axis", (LEFT, floor), (WIDTH - RIGHT, floor));
    text(svg, "mid", ((LEFT + WIDTH - RIGHT) / 2.0, floor + 34.0), words);
}

/// A disc, square, triangle or diamond about a point.
fn mark(svg: &mut String, index: usize, (x, y): (f64, f64)) {
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

fn line(svg: &mut String, class: &str, (x1, y1): (f64, f64), (x2, y2): (f64, f64)) {
    let _ = writeln!(svg, "<path class=\"{class}\" d=\"M{} {}L{} {}\"/>", n(x1), n(y1), n(x2), n(y2));
}

fn text(svg: &mut String, class: &str, (x, y): (f64, f64), words: &str) {
    let _ = writeln!(svg, "<text class=\"{class}\" x=\"{}\" y=\"{}\">{}</text>", n(x), n(y), escaped(words));
}

/// About five round values from 0 to the top.
fn linear_ticks(top: f64) -> Vec<f64> {
    let step = round_step(top);
    (0..).map(|i| f64::from(i) * step).take_while(|tick| *tick <= top * (1.0 + 1e-9)).collect()
}

/// 1, 2 or 5 times a power of ten, so that about five of it make a length.
fn round_step(length: f64) -> f64 {
    let rough = length / 5.0;
    let power = 10.0_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0].map(|s| s * power).into_iter().find(|s| *s >= rough * 0.999).unwrap_or(10.0 * power)
}

/// Numbers rounded to hundredths of a pixel, so that bytes do not depend on rounding.
fn n(value: f64) -> String {
    crate::wording::trimmed(value, 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_few_and_round() {
        assert_eq!(LogAxis::new(0.02, 60.0).ticks(), [0.1, 1.0, 10.0]);
        assert_eq!(LogAxis::new(1.0, 20.0).ticks(), [1.0, 2.0, 5.0, 10.0, 20.0]);
        let short: Vec<String> = LogAxis::new(0.7, 1.6).ticks().iter().map(|t| short_figure(*t)).collect();
        assert_eq!(short, ["0.8", "1", "1.2", "1.4", "1.6"]);
        assert_eq!(linear_ticks(1.0), [0.0, 0.2, 0.4, 0.600_000_000_000_000_1, 0.8, 1.0]);
        assert_eq!(linear_ticks(27.0), [0.0, 10.0, 20.0]);
    }

    #[test]
    fn equal_ratios_have_equal_lengths() {
        let axis = LogAxis::new(0.1, 10.0);
        let [a, b, c] = [0.1, 1.0, 10.0].map(|value| axis.at(value));
        assert!((a - LEFT).abs() < 1e-9 && (c - (WIDTH - RIGHT)).abs() < 1e-9);
        assert!((2.0 * b - a - c).abs() < 1e-9);
    }
}
