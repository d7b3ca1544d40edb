//! Connected components: which arcs bound the same part.
//!
//! Arcs are linked to loops at their ends. For all loops one target point is fixed. From its point nearest to the target each loop follows the
//! straight path to the target. If that path leads into the free side, the first arc it meets belongs to a loop of the same part that is nearer to
//! the target. A part that contains the target has its loops linked to the one nearest to it. Any other part has exactly one loop that separates it
//! from the target, and the links of all its other loops lead to that loop.

use super::{Arc, Carrier, Curve};
use crate::math::{DVec3, atan2, hypot};
use petgraph::unionfind::UnionFind;

/// Ends of arcs nearer than this are one vertex, in metres.
const VERTEX_M: f64 = 1e-7;

/// The part of each arc, and the number of parts; `ends` are those of the arcs.
pub(super) fn components(carrier: &Carrier, arcs: &[Arc], ends: &[(DVec3, DVec3)]) -> (Vec<usize>, usize) {
    let count = arcs.len();
    let mut joined: UnionFind<usize> = UnionFind::new(count);
    for i in 0..count {
        for j in 0..count {
            if i != j && ends[i].1.distance_squared(ends[j].0) < VERTEX_M * VERTEX_M {
                joined.union(i, j);
            }
        }
    }
    let loops = joined.clone().into_labeling();
    let mut first_loops: Vec<usize> = loops.clone();
    first_loops.sort_unstable();
    first_loops.dedup();
    if first_loops.len() > 1 {
        // Any target that is on no curve is suitable; on a plane it has to lie in it.
        let target = carrier.project(DVec3::new(0.317, 0.291, 0.883) * 10.0);
        let mut reaches_target: Vec<usize> = Vec::new();
        for &label in &first_loops {
            let (from, into_free) = nearest_point(carrier, arcs, ends, &loops, label, target);
            if !into_free {
                continue;
            }
            match first_crossing(carrier, arcs, from, target) {
                Some(hit) => {
                    joined.union(label, hit);
                }
                None => reaches_target.push(label),
            }
        }
        for pair in reaches_target.windows(2) {
            joined.union(pair[0], pair[1]);
        }
    }
    number(&joined.into_labeling())
}

/// An arc of the part in which a free point lies: the arc nearest to it.
pub(super) fn first_arc_from(arcs: &[Arc], p: DVec3) -> Option<usize> {
    let nearest = (0..arcs.len())
        .map(|i| (i, nearest_on(&arcs[i], (arcs[i].at(0.0), arcs[i].at(1.0)), p)))
        .min_by(|a, b| a.1.distance_squared(p).total_cmp(&b.1.distance_squared(p)))?;
    // Nothing lies between a free point and the nearest point of the boundary.
    Some(nearest.0)
}

fn number(labels: &[usize]) -> (Vec<usize>, usize) {
    let mut known: Vec<usize> = Vec::new();
    let parts = labels
        .iter()
        .map(|label| {
            known.iter().position(|k| k == label).unwrap_or_else(|| {
                known.push(*label);
                known.len() - 1
            })
        })
        .collect();
    (parts, known.len())
}

/// The point of a loop nearest to the target, and whether the path to the target starts into the free side.
fn nearest_point(
    carrier: &Carrier,
    arcs: &[Arc],
    ends: &[(DVec3, DVec3)],
    loops: &[usize],
    label: usize,
    target: DVec3,
) -> (DVec3, bool) {
    let mut best: Option<(f64, DVec3, usize)> = None;
    for index in (0..arcs.len()).filter(|index| loops[*index] == label) {
        let point = nearest_on(&arcs[index], ends[index], target);
        // On a sphere chords grow with the arc length.
        let distance = point.distance_squared(target);
        if best.is_none_or(|(d, ..)| distance < d) {
            best = Some((distance, point, index));
        }
    }
    let Some((_, point, index)) = best else { return (target, false) };
    let tangent = arcs[index].curve.tangent_at(point);
    let left = carrier.normal(point).cross(tangent);
    (point, carrier.along(point, target - point).dot(left) > 0.0)
}

/// The point of an arc with these ends that is nearest to `target`.
fn nearest_on(arc: &Arc, (first, last): (DVec3, DVec3), target: DVec3) -> DVec3 {
    let inside = match &arc.curve {
        Curve::Circle { centre, u, v, .. } => {
            let arm = target - *centre;
            let (x, y) = (arm.dot(*u), arm.dot(*v));
            let offset = (atan2(y, x) - arc.from).rem_euclid(std::f64::consts::TAU);
            let length = hypot(x, y);
            (offset <= arc.width && length > 0.0).then(|| *centre + (*u * x + *v * y) / length)
        }
        Curve::Line { from, direction, .. } => {
            let along = (target - *from).dot(*direction);
            (0.0..=arc.width).contains(&(along - arc.from)).then(|| arc.curve.at(along))
        }
    };
    let ends = if first.distance_squared(target) <= last.distance_squared(target) { first } else { last };
    inside.filter(|p| p.distance_squared(target) <= ends.distance_squared(target)).unwrap_or(ends)
}

/// The first arc that the straight path between two points crosses, except at its beginning.
fn first_crossing(carrier: &Carrier, arcs: &[Arc], from: DVec3, target: DVec3) -> Option<usize> {
    let way = carrier.distance(from, target);
    let mut first: Option<(f64, usize)> = None;
    for (index, arc) in arcs.iter().enumerate() {
        for point in crossings(carrier, arc, from, target) {
            let distance = carrier.distance(from, point);
            let on_the_way =
                distance > VERTEX_M && distance + carrier.distance(point, target) < way + VERTEX_M;
            if on_the_way && first.is_none_or(|(d, _)| distance < d) {
                first = Some((distance, index));
            }
        }
    }
    first.map(|(_, index)| index)
}

/// Points where an arc meets the great circle or line through two points.
fn crossings(carrier: &Carrier, arc: &Arc, from: DVec3, target: DVec3) -> Vec<DVec3> {
    let normal = match carrier {
        Carrier::Sphere { centre, .. } => (from - *centre).cross(target - *centre),
        Carrier::Plane(plane) => plane.normal.cross(target - from),
    };
    let Some(normal) = normal.try_normalize() else { return Vec::new() };
    let offset = normal.dot(from);
    match &arc.curve {
        Curve::Circle { centre, u, v, .. } => {
            let wave = crate::math::Wave::new(normal.dot(*centre) - offset, normal.dot(*u), normal.dot(*v));
            wave.roots(std::f64::consts::TAU)
                .filter(|t| (t - arc.from).rem_euclid(std::f64::consts::TAU) <= arc.width)
                .map(|t| arc.curve.at(t))
                .collect()
        }
        Curve::Line { from: f, direction, .. } => {
            let rate = normal.dot(*direction);
            let t = (offset - normal.dot(*f)) / rate;
            if t >= arc.from && t <= arc.from + arc.width { vec![arc.curve.at(t)] } else { Vec::new() }
        }
    }
}
