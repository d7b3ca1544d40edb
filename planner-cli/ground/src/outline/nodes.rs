//! Places the vertices where their lines meet: those within an arc, and the junctions in which arcs end.

use super::arcs::Arc;
use super::simplify::{Care, Line, Polyline};
use super::{Side, ends};
use crate::cells::Cells;
use crate::fit::Scale;
use glam::{DMat2, DVec2};
use std::collections::{BTreeMap, BTreeSet};

/// How much the first place of a vertex counts against a line of weight 1.
const STAY_WEIGHT: f64 = 1e-3;
/// A vertex nearer than this, in metres, to the line between those beside it is left out.
const STRAIGHT_M: f64 = 1e-5;

/// Arcs as they will stand in outlines.
pub(super) struct Drawn {
    /// The vertices of each arc.
    pub(super) lines: Vec<Vec<DVec2>>,
    /// What lies on the left and on the right of each.
    pub(super) sides: Vec<[Side; 2]>,
}

pub(super) fn settled(
    cells: &Cells,
    scale: &Scale,
    arcs: &[Arc],
    polylines: &[Polyline],
    care: &[Care],
    stay: bool,
    step: f64,
) -> Drawn {
    // Junctions of arcs that are drawn with care stay where they are.
    let mut fixed: BTreeSet<u32> = BTreeSet::new();
    for (arc, care) in arcs.iter().zip(care) {
        if *care != Care::Usual {
            fixed.extend(ends(arc));
        }
    }
    // An open arc ends in junctions; a closed one in a vertex of its own, unless other arcs end there.
    let mut at_junction: BTreeMap<u32, Vec<Line>> = BTreeMap::new();
    for (arc, polyline) in arcs.iter().zip(polylines) {
        if !arc.is_closed() {
            let [first, last] = ends(arc);
            at_junction.entry(first).or_default().extend(polyline.lines[0]);
            at_junction.entry(last).or_default().extend(polyline.lines[polyline.lines.len() - 1]);
        }
    }
    let farthest = 2.0 * scale.edge + scale.foot.min(4.0 * scale.edge);
    let place = |first: DVec2, lines: &[Line]| if stay { first } else { meeting(first, lines, farthest) };
    let rounded = |p: DVec2| (p / step).round() * step;
    let junctions: BTreeMap<u32, DVec2> = at_junction
        .iter()
        .map(|(corner, lines)| {
            let (first, lines) =
                (cells.corners[*corner as usize], if fixed.contains(corner) { &[][..] } else { &lines[..] });
            (*corner, rounded(place(first, lines)))
        })
        .collect();
    let lines = arcs.iter().zip(polylines).map(|(arc, polyline)| {
        let count = polyline.vertices.len();
        let mut line: Vec<DVec2> = (0..count)
            .map(|i| {
                let beside = [
                    i.checked_sub(1).and_then(|i| polyline.lines[i]),
                    polyline.lines.get(i).copied().flatten(),
                ];
                let lines: Vec<Line> = beside.into_iter().flatten().collect();
                place(polyline.vertices[i], &lines)
            })
            .collect();
        if arc.is_closed() {
            let first = ends(arc)[0];
            let both: Vec<Line> =
                [polyline.lines[0], polyline.lines[count - 2]].into_iter().flatten().collect();
            let shared =
                junctions.get(&first).filter(|_| polyline.vertices[0] == cells.corners[first as usize]);
            line[0] = shared.copied().unwrap_or_else(|| place(polyline.vertices[0], &both));
            line[count - 1] = line[0];
        } else {
            let [first, last] = ends(arc);
            (line[0], line[count - 1]) = (junctions[&first], junctions[&last]);
        }
        without_straight(line).into_iter().map(rounded).collect()
    });
    Drawn { lines: lines.collect(), sides: arcs.iter().map(|arc| [arc.left, arc.right]).collect() }
}

/// The point with the least sum of weighted squared distances from lines and from its first place; that place if it is far off.
fn meeting(first: DVec2, lines: &[Line], farthest: f64) -> DVec2 {
    let mut matrix = DMat2::IDENTITY * STAY_WEIGHT;
    let mut right = DVec2::ZERO;
    for line in lines {
        let n = line.across;
        matrix += DMat2::from_cols(n * n.x, n * n.y) * line.weight;
        right += n * (line.weight * n.dot(line.through - first));
    }
    let moved = matrix.inverse() * right;
    if moved.is_finite() && moved.length() <= farthest { first + moved } else { first }
}

/// Without the inner vertices at which a line goes straight on.
fn without_straight(line: Vec<DVec2>) -> Vec<DVec2> {
    let mut kept: Vec<DVec2> = Vec::with_capacity(line.len());
    for (index, p) in line.iter().enumerate() {
        if let (Some(before), Some(after)) = (kept.last(), line.get(index + 1))
            && index > 0
            && crate::polygon::to_segment(*p, *before, *after) < STRAIGHT_M
            && *before != *after
        {
            continue;
        }
        kept.push(*p);
    }
    kept
}
