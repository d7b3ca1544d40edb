//! Least distance from a moving point to a vertical prism, and of its foot to the outline.
//!
//! The distance to a prism is the least of distances to planes, straight edges and corners. Over a motion each of them is a wave (one harmonic), a
//! second wave (two harmonics) or, on a line, a parabola. The minimum of smooth functions has its least value at an end, at a stationary point of one
//! of them, or where one is zero: so it is enough to evaluate it there.

use super::prism::distance_to_segment;
use super::{Outline, Path, Prism};
use crate::math::{DVec2, DVec3, SecondWave};

/// The least distance from the path to the solid in metres and the parameter where it is reached, or `None` when it is certainly at least `below`.
///
/// Exact but for rounding. Complexity: corners of the outline times those near the path, constant when far off.
#[must_use]
pub fn least_distance_to_prism(path: &Path, prism: &Prism, below: f64) -> Option<(f64, f64)> {
    let span = path.span();
    let middle = 0.5 * span;
    if prism.distance(path.at(middle)) - path.reach_from_middle() >= below {
        return None;
    }
    if let Path::Trochoid { .. } = path {
        let reach_m = below + path.curvature_bound() / 8.0;
        let on_line = |line: &Path| least_distance_to_prism(line, prism, reach_m).map(|(least, _)| least);
        let found = path.least_by_chords(&|p| prism.distance(p), &on_line);
        return Some(found).filter(|(distance, _)| *distance < below);
    }
    let mut candidates = vec![0.0, span];
    let top = &prism.top;
    push_plane(path, top.normal, top.origin, &mut candidates);
    let above = path.at(middle).z - path.reach_from_middle() > prism.bottom;
    // The foot on a sloped top lies no further aside than the point is above it.
    let aside =
        if top.is_level() { 0.0 } else { top.above(path.at(middle)).abs() + path.reach_from_middle() };
    if above && prism.inset(path.at(middle).truncate()) > path.reach_from_middle() + aside {
        // Never beyond the outline: while the path is above the top, only the top counts, and below the top it is inside.
        return Some(least(candidates, |t| top.above(path.at(t)).max(0.0)));
    }
    if prism.bottom.is_finite() {
        push_plane(path, DVec3::Z, DVec3::new(0.0, 0.0, prism.bottom), &mut candidates);
    }
    // The path cannot be nearest to an edge that is farther than this from its middle, if it comes nearer than `below` to anything.
    let (here, far) = (path.at(middle), path.reach_from_middle() + below.max(0.0));
    for (a, b) in prism.edges().filter(|&(a, b)| distance_to_segment(here.truncate(), a, b) < far) {
        push_outline_edge(path, a, b, &mut candidates);
        let rims = [(prism.bottom, prism.bottom), (top.height_at(a), top.height_at(b))];
        let is_near = |&(from, to): &(f64, f64)| here.z - from.max(to) < far && from.min(to) - here.z < far;
        for (from, to) in rims.into_iter().filter(is_near) {
            let along = (b - a).extend(to - from).normalize();
            push_line(path, a.extend(from), along, &mut candidates);
            candidates.push(path.least_distance_to_point(a.extend(from)).1);
        }
    }
    Some(least(candidates, |t| prism.distance(path.at(t)))).filter(|(distance, _)| *distance < below)
}

/// Whether a path keeps at least `keep` metres from a solid: a few points of the path decide where they can, otherwise [`least_distance_to_prism`].
#[must_use]
pub fn keeps_off_prism(path: &Path, prism: &Prism, keep: f64) -> bool {
    let span = path.span();
    let is_far = |t: f64| prism.distance(path.at(t)) >= keep;
    is_far(0.0)
        && is_far(span)
        && seen_to_keep_off(path, prism, keep, (0.0, span), 0).unwrap_or_else(|| {
            least_distance_to_prism(path, prism, keep).is_none_or(|(distance, _)| distance >= keep)
        })
}

/// Whether a path keeps off a solid by a distance that differs from place to place: `keep` is the greatest over a part of the path, in metres. The
/// path is halved until the greatest over a part is kept, or the distance in its middle is not.
#[must_use]
pub fn keeps_off_prism_by(path: &Path, prism: &Prism, keep: &impl Fn(&Path) -> f64) -> bool {
    keeps_off_in_parts(path, prism, keep, 0)
}

/// Number of halvings after which a part of a path counts as too near: its ends differ by less than rounding.
const MOST_PARTINGS: u32 = 24;

fn keeps_off_in_parts(path: &Path, prism: &Prism, keep: &impl Fn(&Path) -> f64, depth: u32) -> bool {
    let most = keep(path);
    if keeps_off_prism(path, prism, most) {
        return true;
    }
    let middle = path.at(0.5 * path.span());
    let here = keep(&Path::Line { from: middle, step: DVec3::ZERO });
    if depth == MOST_PARTINGS || here >= most || prism.distance(middle) < here {
        return false;
    }
    [(0.0, 0.5), (0.5, 1.0)]
        .into_iter()
        .all(|(from, to)| keeps_off_in_parts(&path.part(from, to), prism, keep, depth + 1))
}

/// Number of halvings of a path after which it is checked as a whole.
const MOST_HALVINGS: u32 = 3;
/// The same for a solid of many corners: to check it as a whole takes time that grows with their square.
const MOST_HALVINGS_OF_MANY: u32 = 6;
/// So many corners are many.
const MANY_CORNERS: usize = 12;

/// The same between two parameters, as far as midpoints decide it: the distance changes by no more than the point moves.
fn seen_to_keep_off(
    path: &Path,
    prism: &Prism,
    keep: f64,
    (from, to): (f64, f64),
    depth: u32,
) -> Option<bool> {
    let middle = 0.5 * (from + to);
    let distance = prism.distance(path.at(middle));
    let speed = match path {
        Path::Arc { cosine, sine, .. } => cosine.length().max(sine.length()),
        Path::Line { step, .. } => step.length(),
        Path::Trochoid { cosine, sine, span, step, .. } => {
            cosine.length().max(sine.length()) + step.length() / span.abs()
        }
    };
    if distance < keep {
        return Some(false);
    }
    if distance - 0.5 * speed * (to - from).abs() >= keep {
        return Some(true);
    }
    let many = prism.outline.len() > MANY_CORNERS;
    if depth == if many { MOST_HALVINGS_OF_MANY } else { MOST_HALVINGS } {
        return None;
    }
    let halves = [(from, middle), (middle, to)];
    let [first, second] = halves.map(|half| seen_to_keep_off(path, prism, keep, half, depth + 1));
    match (first, second) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    }
}

/// The least inset in metres (distance inside the outline, negative outside) of the point's projection and the parameter where it is reached, or
/// `None` when it is certainly at least `below`.
///
/// Exact but for rounding while the point stays inside. Where it leaves the outline the value is negative and reached on the path, but other points
/// of the path may be farther outside.
#[must_use]
pub fn least_inset(path: &Path, outline: &Outline, below: f64) -> Option<(f64, f64)> {
    if outline.inset(path.at(0.5 * path.span()).truncate()) - path.reach_from_middle() >= below {
        return None;
    }
    if let Path::Trochoid { .. } = path {
        let reach_m = below + path.curvature_bound() / 8.0;
        let on_line = |line: &Path| least_inset(line, outline, reach_m).map(|(least, _)| least);
        return Some(path.least_by_chords(&|p| outline.inset(p.truncate()), &on_line));
    }
    let mut candidates = vec![0.0, path.span()];
    let (here, far) = (path.at(0.5 * path.span()), path.reach_from_middle() + below.max(0.0));
    for (a, b) in outline.edges().filter(|&(a, b)| distance_to_segment(here.truncate(), a, b) < far) {
        push_outline_edge(path, a, b, &mut candidates);
    }
    Some(least(candidates, |t| outline.inset(path.at(t).truncate())))
}

/// Whether a disc about the point's projection stays inside the outline; its radius is positive, in metres. The same as to ask for the least inset, but
/// every edge is compared with the path alone: linear in the corners.
#[must_use]
pub fn stays_inside(path: &Path, outline: &Outline, radius: f64) -> bool {
    if let Path::Trochoid { .. } = path {
        return least_inset(path, outline, radius).is_none_or(|(inset, _)| inset >= radius);
    }
    let (here, far) = (path.at(0.5 * path.span()).truncate(), path.reach_from_middle() + radius);
    let mut candidates = Vec::new();
    outline.edges().filter(|&(a, b)| distance_to_segment(here, a, b) < far).all(|(a, b)| {
        candidates.clear();
        candidates.extend([0.0, path.span()]);
        push_outline_edge(path, a, b, &mut candidates);
        push_line(path, b.extend(0.0), DVec3::Z, &mut candidates);
        candidates.iter().all(|&t| distance_to_segment(path.at(t).truncate(), a, b) >= radius)
    }) && outline.contains(here)
}

/// Where the point's projection on a straight path is farther outside the outline than allowed: its inset there in metres, which is negative.
///
/// The inset changes by no more than the point moves, so parts of the path whose middle is far enough inside are clear; others are halved.
#[must_use]
pub fn leaves_outline(path: &Path, outline: &Outline, allowed: f64) -> Option<f64> {
    let length = path.length();
    let mut open = vec![(0.0, 1.0)];
    while let Some((from, to)) = open.pop() {
        let middle = 0.5 * (from + to);
        let inset = outline.inset(path.at(middle * path.span()).truncate());
        if inset < -allowed {
            return Some(inset);
        }
        let half_m = 0.5 * (to - from) * length;
        if inset - half_m < -allowed && half_m > 0.5 * allowed {
            open.extend([(middle, to), (from, middle)]);
        }
    }
    None
}

/// Stationary points and zeros of the horizontal distances to one edge of the outline: its line and its first corner.
fn push_outline_edge(path: &Path, a: DVec2, b: DVec2, candidates: &mut Vec<f64>) {
    let along = (b - a).normalize();
    push_plane(path, DVec3::new(along.y, -along.x, 0.0), a.extend(0.0), candidates);
    push_line(path, a.extend(0.0), DVec3::Z, candidates);
}

/// Stationary points and zeros of the distance to a plane.
fn push_plane(path: &Path, normal: DVec3, origin: DVec3, candidates: &mut Vec<f64>) {
    match *path {
        Path::Arc { centre, cosine, sine, span } => {
            let wave = Path::wave(centre, cosine, sine, normal, origin);
            candidates.extend(wave.stationary(span));
            candidates.extend(wave.roots(span));
        }
        Path::Line { from, step } => {
            let share = -(from - origin).dot(normal) / step.dot(normal);
            if share > 0.0 && share < 1.0 {
                candidates.push(share);
            }
        }
        // Their least values are bounded by chords.
        Path::Trochoid { .. } => {}
    }
}

/// Stationary points of the distance to a straight line.
fn push_line(path: &Path, origin: DVec3, direction: DVec3, candidates: &mut Vec<f64>) {
    match *path {
        Path::Arc { centre, cosine, sine, span } => {
            let first = direction.any_orthonormal_vector();
            let second = direction.cross(first);
            let squared = |axis| SecondWave::square(Path::wave(centre, cosine, sine, axis, origin));
            candidates.extend(squared(first).plus(squared(second)).stationary(span));
        }
        Path::Line { from, step } => {
            let across = step - direction * step.dot(direction);
            let share = -(from - origin).dot(across) / across.length_squared();
            if share > 0.0 && share < 1.0 {
                candidates.push(share);
            }
        }
        // Their least values are bounded by chords.
        Path::Trochoid { .. } => {}
    }
}

fn least(candidates: Vec<f64>, value: impl Fn(f64) -> f64) -> (f64, f64) {
    let mut best = (f64::INFINITY, 0.0);
    for t in candidates {
        let v = value(t);
        if v < best.0 {
            best = (v, t);
        }
    }
    best
}
