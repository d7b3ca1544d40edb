//! Arcs as lines of points, close enough not to see the difference.

use super::projection::Projection;
use clamber_core::unstable::geometry::surface::Arc;

/// How far a line may be from its arc, in pixels.
const ERROR: f64 = 0.1;
/// Pieces to begin with, so that a curve that returns to its chord is not missed.
const FIRST: usize = 12;
/// Halvings of a piece; one that is still not straight then goes through the far pole, which is drawn all round the rim.
const DEEPEST: u32 = 10;

/// An arc as lines; several where it passes the far pole of a disc.
pub(crate) fn lines(projection: Projection, arc: &Arc) -> Vec<Vec<(f64, f64)>> {
    let at = |share: f64| projection.to_page(arc.at(share));
    let mut lines = vec![vec![at(0.0)]];
    for piece in 0..FIRST {
        let (from, to) = (piece as f64 / FIRST as f64, (piece + 1) as f64 / FIRST as f64);
        extend(&mut lines, &at, (from, at(from)), (to, at(to)), 0);
    }
    lines
}

type Point = (f64, (f64, f64));

fn extend(
    lines: &mut Vec<Vec<(f64, f64)>>,
    at: &impl Fn(f64) -> (f64, f64),
    from: Point,
    to: Point,
    depth: u32,
) {
    let share = 0.5 * (from.0 + to.0);
    let middle = (share, at(share));
    if off(middle.1, from.1, to.1) < ERROR {
        if let Some(line) = lines.last_mut() {
            line.push(to.1);
        }
    } else if depth < DEEPEST {
        extend(lines, at, from, middle, depth + 1);
        extend(lines, at, middle, to, depth + 1);
    } else {
        lines.push(vec![to.1]);
    }
}

/// Distance of a point from the middle of a chord, which is more than from the chord.
fn off(p: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    (p.0 - 0.5 * (a.0 + b.0)).hypot(p.1 - 0.5 * (a.1 + b.1))
}
