//! Draws an arc with few straight segments.
//!
//! Where two planes cross, the border is the line in which they cross. Elsewhere segments are found by the method of Douglas and Peucker
//! (*Algorithms for the reduction of the number of points required to represent a digitized line*, Cartographica 10 (1973) 112).

use super::Side;
use super::arcs::Arc;
use crate::cells::Cells;
use crate::fit::{Fit, Scale};
use glam::DVec2;

/// Planes whose slopes differ by less do not cross in a line worth the name.
const LEAST_SLOPE: f64 = 5e-3;
/// So many points off the line do not interrupt a crease.
const SKIPPED: usize = 2;

/// How carefully an arc is drawn, because it crosses another if drawn with less care.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Care {
    /// Few segments, each moved to its best line.
    Usual,
    /// Within half the usual distance, and nothing is moved.
    Close,
    /// Every corner of every cell.
    Ragged,
}

impl Care {
    /// More care; whether there is more.
    pub(super) fn raise(&mut self) -> bool {
        let more = match self {
            Self::Usual => Self::Close,
            Self::Close => Self::Ragged,
            Self::Ragged => return false,
        };
        *self = more;
        true
    }
}

/// A straight line that a segment should lie on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub(super) through: DVec2,
    /// A unit vector square to it.
    pub(super) across: DVec2,
    pub(super) weight: f64,
}

/// An arc drawn with few vertices.
#[derive(Clone, Debug)]
pub(super) struct Polyline {
    /// Where each vertex is at first.
    pub(super) vertices: Vec<DVec2>,
    /// The line of the segment after each vertex but the last; none if it is not to be moved.
    pub(super) lines: Vec<Option<Line>>,
}

/// Weights of lines: that in which planes cross is exact, one through cells is about right.
const CREASE_WEIGHT: f64 = 100.0;
const STEP_WEIGHT: f64 = 1.0;

pub(super) fn simplified(
    cells: &Cells,
    scale: &Scale,
    fit: &Fit,
    arcs: &[Arc],
    care: &[Care],
) -> Vec<Polyline> {
    arcs.iter().zip(care).map(|(arc, care)| simplified_arc(cells, scale, fit, arc, *care)).collect()
}

fn simplified_arc(cells: &Cells, scale: &Scale, fit: &Fit, arc: &Arc, care: Care) -> Polyline {
    let mut points: Vec<DVec2> = arc.corners.iter().map(|corner| cells.corners[*corner as usize]).collect();
    if care == Care::Ragged {
        let lines = vec![None; points.len() - 1];
        return Polyline { vertices: points, lines };
    }
    let usual = if arc.is_rough { scale.edge.max(scale.straightened()) } else { scale.straightened() };
    let within = if care == Care::Usual { usual } else { 0.5 * usual };
    let crease = (care == Care::Usual).then(|| crease_between(fit, arc.left, arc.right)).flatten();
    if arc.is_closed() {
        turn_to_a_corner(&mut points, crease.as_ref());
    }
    let runs = crease.map(|line| crease_runs(cells, scale, &points, &line)).unwrap_or_default();
    let last = points.len() - 1;
    let mut drawn = Polyline { vertices: Vec::new(), lines: Vec::new() };
    let mut at = 0;
    for (begin, end) in runs {
        step_segments(&points, at, begin, within, care, &mut drawn);
        let Some((line, _)) = crease else { continue };
        let onto = |p: DVec2| p - line.across * line.across.dot(p - line.through);
        drawn.vertices.push(if begin == 0 { points[0] } else { onto(points[begin]) });
        drawn.lines.push(Some(line));
        at = end;
        points[end] = if end == last { points[end] } else { onto(points[end]) };
    }
    step_segments(&points, at, last, within, care, &mut drawn);
    drawn.vertices.push(points[last]);
    drawn
}

/// The line in which the planes of two sides cross, and how much their slopes differ.
fn crease_between(fit: &Fit, left: Side, right: Side) -> Option<(Line, f64)> {
    let (left, right) = (&fit.surfaces[left? as usize], &fit.surfaces[right? as usize]);
    if left.is_cover || right.is_cover {
        return None;
    }
    let slope = left.plane.slope - right.plane.slope;
    let steepness = slope.length();
    (steepness > LEAST_SLOPE).then(|| {
        let through = slope * (-(left.plane.height - right.plane.height) / slope.length_squared());
        (Line { through, across: slope / steepness, weight: CREASE_WEIGHT }, steepness)
    })
}

/// The parts of an arc, as first and last point, that lie along the line in which the planes cross.
fn crease_runs(
    cells: &Cells,
    scale: &Scale,
    points: &[DVec2],
    (line, slope): &(Line, f64),
) -> Vec<(usize, usize)> {
    let near = (scale.tolerance / slope).min(scale.foot) + cells.grain;
    let is_on = |i: usize| line.across.dot(points[i] - line.through).abs() <= near;
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for i in (0..points.len()).filter(|i| is_on(*i)) {
        match runs.last_mut() {
            Some((_, end)) if i - *end <= 1 + SKIPPED => *end = i,
            _ => runs.push((i, i)),
        }
    }
    let along = line.across.perp();
    let longest = (2.0 * cells.grain).max(0.25 * scale.foot);
    runs.retain(|(begin, end)| along.dot(points[*end] - points[*begin]).abs() >= longest);
    runs
}

/// Turns the points of a closed arc so that it begins at one that stays: off the crease, and far out.
fn turn_to_a_corner(points: &mut Vec<DVec2>, crease: Option<&(Line, f64)>) {
    points.pop();
    let middle = points.iter().sum::<DVec2>() / points.len() as f64;
    let far = |p: DVec2| match crease {
        Some((line, _)) => line.across.dot(p - line.through).abs(),
        None => p.distance(middle),
    };
    let first = (0..points.len())
        .max_by(|a, b| far(points[*a]).total_cmp(&far(points[*b])).then(b.cmp(a)))
        .unwrap_or(0);
    points.rotate_left(first);
    points.push(points[0]);
}

/// Adds the segments between two points, without the last vertex.
fn step_segments(points: &[DVec2], from: usize, to: usize, within: f64, care: Care, drawn: &mut Polyline) {
    if from == to {
        return;
    }
    let mut kept = vec![from, to];
    split(points, from, to, within, &mut kept);
    kept.sort_unstable();
    for pair in kept.windows(2) {
        drawn.vertices.push(points[pair[0]]);
        drawn.lines.push((care == Care::Usual).then(|| best_line(points, pair[0], pair[1])).flatten());
    }
}

fn split(points: &[DVec2], from: usize, to: usize, within: f64, kept: &mut Vec<usize>) {
    let (a, b) = (points[from], points[to]);
    let farthest = (from + 1..to)
        .map(|i| (crate::polygon::to_segment(points[i], a, b), i))
        .max_by(|x, y| x.0.total_cmp(&y.0).then(y.1.cmp(&x.1)));
    if let Some((distance, at)) = farthest
        && distance > within
    {
        kept.push(at);
        split(points, from, at, within, kept);
        split(points, at, to, within, kept);
    }
}

/// The line of least squares through the border between two points: each edge counts at its middle, with its length.
fn best_line(points: &[DVec2], from: usize, to: usize) -> Option<Line> {
    // At the ends the border already turns into the next segment.
    let spare = usize::from(to - from > 8);
    let edges = points[from + spare..=to - spare]
        .windows(2)
        .map(|pair| (0.5 * (pair[0] + pair[1]), pair[0].distance(pair[1])));
    let edges: Vec<(DVec2, f64)> = edges.collect();
    let total: f64 = edges.iter().map(|(_, length)| length).sum();
    let through = edges.iter().map(|(p, length)| *p * *length).sum::<DVec2>() / total;
    let chord = (points[to] - points[from]).normalize_or_zero();
    let direction = if edges.len() < 4 {
        chord
    } else {
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for (p, length) in &edges {
            let d = *p - through;
            xx += length * d.x * d.x;
            xy += length * d.x * d.y;
            yy += length * d.y * d.y;
        }
        // The direction of the greatest spread, by the double angle.
        let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
        DVec2::from_angle(angle)
    };
    (direction != DVec2::ZERO).then(|| Line { through, across: direction.perp(), weight: STEP_WEIGHT })
}
