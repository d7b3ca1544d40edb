//! The surface of a module as a map: every face unrolled in a panel of its own.
//!
//! Shells are drawn in Lambert's azimuthal equal-area projection about the host's body +z, decks in plan. Shape, hatching and line style say
//! all that there is to say, so that the map can be read in grey.

mod curve;
mod fill;
pub(crate) mod labels;
mod legend;
mod marks;
mod panel;
mod projection;
mod style;

use crate::svg::Svg;
use clamber_core::{Body, Problem, Survey};
use panel::Panel;

/// Width of the page in pixels.
const WIDTH: f64 = 1000.0;
/// Room at the page's edges and between panels.
const MARGIN: f64 = 24.0;
/// Height of the title.
const HEAD: f64 = 66.0;

/// The map as an SVG file.
pub(crate) fn draw(problem: &Problem, survey: &Survey) -> String {
    let (panels, below) = arranged(problem, survey);
    let height = below + legend::HEIGHT;
    let mut svg = Svg::file(WIDTH, height, style::STYLE, style::PATTERNS);
    let module = problem.module_name(survey.mover);
    svg.text(
        (MARGIN, 34.0),
        "title",
        &labels::shortened(&format!("Surface of {module} in {}", problem.name), 90),
    );
    let reached = survey.parts.iter().filter(|part| part.unreached.is_none()).count();
    let summary = format!(
        "{:.1} cm² in {} parts, {reached} reached; {} hop arcs, {} pockets, {} rests reached",
        survey.area_m2() * 1e4,
        survey.parts.len(),
        survey.surface.hop_arcs().count(),
        survey.pockets.len(),
        survey.rests.len()
    );
    svg.text((MARGIN, 54.0), "note", &summary);
    for panel in &panels {
        panel.draw(&mut svg, problem, survey);
    }
    legend::draw(&mut svg, below);
    svg.finish()
}

/// Panels in rows, decks first, and where they end.
fn arranged<'a>(problem: &Problem, survey: &'a Survey) -> (Vec<Panel<'a>>, f64) {
    let mut panels: Vec<Panel<'a>> = Vec::new();
    let (mut x, mut y, mut row) = (MARGIN, HEAD, 0.0_f64);
    let mut was_deck = true;
    for (host, region) in survey.surface.regions().filter(|(_, region)| region.parts > 0) {
        let mut panel = Panel::new(problem, host, region);
        let (width, height) = panel.size();
        let is_deck = matches!(host, Body::Ground(_));
        if x > MARGIN && (x + width > WIDTH - MARGIN || is_deck != was_deck) {
            (x, y, row) = (MARGIN, y + row, 0.0);
        }
        panel.corner = (x, y);
        x += width;
        row = row.max(height);
        was_deck = is_deck;
        panels.push(panel);
    }
    (panels, y + row)
}
