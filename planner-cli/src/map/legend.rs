//! What the signs mean.

use super::{MARGIN, marks};
use crate::svg::{Svg, line};

/// Height of the legend in pixels.
pub(crate) const HEIGHT: f64 = 74.0;

pub(crate) fn draw(svg: &mut Svg, top: f64) {
    svg.shifted((MARGIN, top + 8.0));
    let at = |column: usize, row: usize| (240.0 * column as f64, 8.0 + 20.0 * row as f64);
    let entry = |svg: &mut Svg, (x, y): (f64, f64), words: &str| svg.text((x + 34.0, y + 4.0), "note", words);
    for (row, (class, words)) in
        [("free", "free, reached"), ("dots", "free, not reached"), ("hatch", "forbidden")]
            .into_iter()
            .enumerate()
    {
        let (x, y) = at(0, row);
        svg.rect((x, y - 6.0), (26.0, 12.0), class);
        svg.rect((x, y - 6.0), (26.0, 12.0), "outline");
        entry(svg, (x, y), words);
    }
    let lines = [
        ("edge", "boundary"),
        ("hop", "hop arc, with the other host"),
        ("reach", "limit of the host's reach"),
    ];
    for (row, (class, words)) in lines.into_iter().enumerate() {
        let (x, y) = at(1, row);
        svg.path(&line(&[(x, y), (x + 26.0, y)]), class);
        entry(svg, (x, y), words);
    }
    let signs = [
        (marks::pocket as fn(&mut Svg, (f64, f64)), "pocket: three bodies are met"),
        (marks::rest, "rest that is reached"),
        (marks::start, "where the module stands"),
    ];
    for (row, (mark, words)) in signs.into_iter().enumerate() {
        let (x, y) = at(2, row);
        mark(svg, (x + 13.0, y));
        entry(svg, (x, y), words);
    }
    for (row, words) in ["beside decks: x and y", "in metres, as in at_m"].into_iter().enumerate() {
        let (x, y) = at(3, row);
        svg.text((x, y + 4.0), "note", words);
    }
    svg.close();
}
