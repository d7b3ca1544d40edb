//! A strip below the chart: whether the crew survives any one failure. Its height tells the verdicts apart as well as its colour.

use super::{PLOT, Scale};
use crate::survival::words;
use crate::svg::Svg;
use clamber_core::unstable::assess::{Piece, Verdict};

/// Height of the strip with its space.
pub(super) const HEIGHT: f64 = 26.0;

pub(super) fn draw(svg: &mut Svg, pieces: &[Piece], scale: Scale, top: f64) {
    let bottom = top + 14.0;
    for piece in pieces {
        let (class, height) = look(piece.verdict);
        let x = scale.x(piece.from_s);
        svg.rect((x, bottom - height), (scale.x(piece.to_s) - x, height), class);
    }
    svg.text((PLOT.0 - 12.0, bottom), "right", "one failure");
}

/// What the signs mean, from a place to the right.
pub(super) fn legend(svg: &mut Svg, (mut x, y): (f64, f64)) {
    for verdict in [Verdict::Stands, Verdict::UsesMargin, Verdict::Falls] {
        let (class, height) = look(verdict);
        svg.rect((x, y - height), (22.0, height), class);
        svg.text((x + 28.0, y), "note", words(verdict));
        x += 52.0 + 6.0 * words(verdict).len() as f64;
    }
}

const fn look(verdict: Verdict) -> (&'static str, f64) {
    match verdict {
        Verdict::Stands => ("stands", 3.0),
        Verdict::UsesMargin => ("margin", 7.0),
        Verdict::NotProven | Verdict::Falls => ("falls", 11.0),
    }
}
