//! What colours and lines mean.

use super::MARGIN;
use super::style::CLASSES;
use crate::svg::{Svg, line};
use crate::wording::trimmed;

/// Height of the legend in pixels.
pub(super) const HEIGHT: f64 = 128.0;
/// Size of a swatch.
const SWATCH: (f64, f64) = (54.0, 16.0);

pub(super) fn draw(svg: &mut Svg, top: f64, tolerance: f64) {
    svg.shifted((MARGIN, top + 6.0));
    svg.text((0.0, 12.0), "note", "distance from the fitted plane or ball, in mm");
    for (index, (limit, class)) in CLASSES.iter().enumerate() {
        let x = SWATCH.0 * index as f64;
        svg.rect((x, 20.0), SWATCH, class);
        if limit.is_finite() {
            svg.text((x + SWATCH.0, 50.0), "centred", &trimmed(limit * tolerance * 1e3, 2));
        }
    }
    svg.text((0.0, 50.0), "note", "below");
    svg.text((SWATCH.0 * CLASSES.len() as f64, 50.0), "right", "above");
    let signs = [
        ("beyond", "farther off than the tolerance, at an edge"),
        ("under", "covered: neither plane nor ball fits"),
        ("nothing", "no data: no deck"),
        ("facet", "facet: a foot fits on it"),
        ("ledge", "ledge: plane, but too small for a foot"),
        ("cover", "cover: lies over all of it; no foot fits"),
        ("stone", "stone"),
        ("cut", "cut between decks of one plane"),
    ];
    for (index, (class, words)) in signs.into_iter().enumerate() {
        let (column, row) = (index / 3, index % 3);
        let (x, y) = (320.0 * column as f64, 64.0 + 20.0 * row as f64);
        match class {
            "stone" => svg.circle((x + 13.0, y + 6.0), 6.0, class),
            "cut" => svg.path(&line(&[(x, y + 6.0), (x + 26.0, y + 6.0)]), class),
            _ => svg.rect((x, y), (26.0, 12.0), class),
        }
        svg.text((x + 34.0, y + 10.0), "note", words);
    }
    svg.close();
}
