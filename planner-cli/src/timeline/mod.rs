//! Who does what when, as a picture: one row a module, and how hard bonds are used below.
//!
//! Moves are told apart by letter and texture as well as by colour (two blues of the palette of Okabe and Ito, 2008, for colour-blind
//! readers), so that the picture can be read in grey.

mod chart;
mod legend;
mod rows;
mod spans;
mod style;
mod survival;

use crate::map::labels::shortened;
use crate::svg::Svg;
use crate::wording;
use clamber_core::unstable::assess::Piece;
use clamber_core::{Plan, Problem};

/// Width of the page in pixels.
const WIDTH: f64 = 1100.0;
/// Where time begins and ends.
const PLOT: (f64, f64) = (120.0, 1076.0);
/// Height of the title.
const HEAD: f64 = 78.0;
/// From one row to the next.
const ROW: f64 = 30.0;
/// Height of the chart below.
const CHART: f64 = 96.0;

/// From seconds to pixels.
#[derive(Clone, Copy)]
struct Scale {
    makespan_s: f64,
}

impl Scale {
    fn x(self, seconds: f64) -> f64 {
        PLOT.0 + (PLOT.1 - PLOT.0) * seconds / self.makespan_s.max(f64::MIN_POSITIVE)
    }

    /// Seconds between ticks: 1, 2 or 5 times a power of ten, about ten ticks in all.
    fn tick_s(self) -> f64 {
        let rough = (self.makespan_s / 10.0).max(1e-3);
        let power = 10.0_f64.powf(rough.log10().floor());
        let factor = [1.0, 2.0, 5.0].into_iter().find(|f| f * power >= rough).unwrap_or(10.0);
        factor * power
    }

    fn ticks(self) -> impl Iterator<Item = f64> {
        let tick_s = self.tick_s();
        (0_u32..)
            .map(move |k| f64::from(k) * tick_s)
            .take_while(move |&t| t <= self.makespan_s * (1.0 + 1e-9))
    }
}

/// The timeline of a plan that can be replayed, as an SVG file; `pieces` say when it survives any one failure.
pub(crate) fn draw(problem: &Problem, plan: &Plan, pieces: &[Piece]) -> String {
    let scale = Scale { makespan_s: plan.summary.makespan_s };
    let rows_end = HEAD + ROW * problem.modules.len() as f64;
    let chart_top = rows_end + 40.0;
    let strip = if pieces.is_empty() { 0.0 } else { survival::HEIGHT };
    let legend_top = chart_top + CHART + 40.0 + strip;
    let height = legend_top + legend::HEIGHT + strip;
    let mut svg = Svg::file(WIDTH, height, style::STYLE, style::PATTERNS);
    svg.text((24.0, 34.0), "title", &shortened(&format!("Timeline of {}", problem.name), 90));
    let s = &plan.summary;
    let figures = format!(
        "{} in {} s, {} J, bonds used {} {} of {} allowed",
        wording::count(s.moves, "move"),
        wording::fixed(s.makespan_s, 1),
        wording::fixed(s.energy_j, 0),
        wording::up_to(plan.utilisation_is),
        wording::fixed(s.utilisation, 2),
        wording::fixed(problem.limits.utilisation(), 2)
    );
    svg.text((24.0, 54.0), "note", &figures);
    rows::draw(&mut svg, problem, plan, scale, rows_end);
    chart::draw(&mut svg, problem, plan, scale, chart_top);
    legend::draw(&mut svg, plan, legend_top);
    if !pieces.is_empty() {
        survival::draw(&mut svg, pieces, scale, chart_top + CHART + 22.0);
        survival::legend(&mut svg, (24.0, height - 12.0));
    }
    svg.finish()
}
