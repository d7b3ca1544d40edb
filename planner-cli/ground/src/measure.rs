//! Measures what was made against every surveyed point: how far the points of each deck lie from its plane, and how much the real surface under a
//! foot is tilted. Nothing of the fit is trusted here but the outlines and the planes.

use crate::cells::Cells;
use crate::fit::{Fit, Owner, Scale};
use crate::outline::Outlines;
use crate::plane::{Moments, Plane};
use crate::polygon::{contains, extent, to_segment};
use glam::{DVec2, DVec3};

/// The share of the surface that lies within `relief_m` and `tilt_deg`.
const SHARE: f64 = 0.95;
/// Places on each deck at which the tilt under a foot is measured.
const PROBES: usize = 400;
/// Points under a foot that fix a plane.
const LEAST_UNDER_FOOT: usize = 6;
/// Squares along the longer side of the survey, to find outlines near a point.
const SQUARES: f64 = 256.0;

/// What was measured on one surface.
#[derive(Clone, Debug, Default)]
pub(crate) struct Measured {
    /// Surveyed points on it.
    pub(crate) points: usize,
    /// 95 % of its area lies within this of the plane, in metres.
    pub(crate) usual: f64,
    /// The largest distance from the plane, in metres, but for points near the outline that are farther off than the tolerance.
    pub(crate) worst: f64,
    /// The largest distance of those, in metres.
    pub(crate) worst_at_edge: f64,
    /// The farthest of those from the outline, in metres.
    pub(crate) strip: f64,
    /// Points beyond the tolerance that are not near the outline.
    pub(crate) breaches: usize,
    /// On 95 % of the probed places the surface under a foot is tilted against the plane by at most this, in degrees.
    pub(crate) tilt_deg: f64,
    /// The radius of the largest disc inside the outline, in metres.
    pub(crate) room: f64,
    /// The middle of that disc.
    pub(crate) room_at: DVec2,
}

/// The surface under each cell by the final outlines, and what was measured on each surface.
pub(crate) fn measure(
    cells: &Cells,
    scale: &Scale,
    fit: &Fit,
    outlines: &Outlines,
) -> (Vec<Option<u32>>, Vec<Measured>) {
    let finder = Finder::over(cells, outlines);
    let under: Vec<Option<u32>> = (0..cells.len())
        .map(|cell| match fit.owners[cell] {
            Owner::Stone(_) => None,
            _ => finder.at(cells.centres[cell]),
        })
        .collect();
    let mut points: Vec<Vec<(DVec3, f64)>> = vec![Vec::new(); fit.surfaces.len()];
    let mut middles: Vec<Vec<DVec2>> = vec![Vec::new(); fit.surfaces.len()];
    for (cell, number) in under.iter().enumerate() {
        let Some(number) = number else { continue };
        middles[*number as usize].push(cells.centres[cell]);
        points[*number as usize].extend(cells.samples_of(cell).iter().map(|p| (*p, cells.weight_in(cell))));
    }
    let measured = (0..fit.surfaces.len()).map(|number| {
        let (surface, border) = (&fit.surfaces[number], &outlines.borders[number]);
        let inset = |p: DVec2| {
            border.iter().map(|edge| to_segment(p, edge.from, edge.to)).fold(f64::INFINITY, f64::min)
        };
        let mut found = residuals(&points[number], &surface.plane, scale, &inset);
        (found.room, found.room_at) = room(&middles[number], &inset);
        if !surface.is_cover {
            found.tilt_deg = tilt(&points[number], &surface.plane, scale.foot, &inset);
        }
        found
    });
    let measured = measured.collect();
    (under, measured)
}

fn residuals(
    points: &[(DVec3, f64)],
    plane: &Plane,
    scale: &Scale,
    inset: &dyn Fn(DVec2) -> f64,
) -> Measured {
    let mut found = Measured { points: points.len(), ..Measured::default() };
    let mut rated: Vec<(f64, f64)> = Vec::with_capacity(points.len());
    // The fit kept a little of the tolerance back.
    let allowed = scale.given;
    for (p, weight) in points {
        let distance = plane.distance(*p).abs();
        if distance > allowed {
            let depth = inset(p.truncate());
            if depth <= scale.strip() {
                found.worst_at_edge = found.worst_at_edge.max(distance);
                found.strip = found.strip.max(depth);
                continue;
            }
            found.breaches += 1;
        }
        found.worst = found.worst.max(distance);
        rated.push((distance, *weight));
    }
    found.usual = share(&mut rated);
    found
}

/// The value up to which [`SHARE`] of the weight lies.
fn share(rated: &mut [(f64, f64)]) -> f64 {
    rated.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = rated.iter().map(|(_, weight)| weight).sum();
    let mut sum = 0.0;
    for (value, weight) in rated.iter() {
        sum += weight;
        if sum >= SHARE * total {
            return *value;
        }
    }
    rated.last().map_or(0.0, |(value, _)| *value)
}

/// How much the surface under a foot is tilted against the plane, in degrees: planes are fitted to the points under the foot.
fn tilt(points: &[(DVec3, f64)], plane: &Plane, foot: f64, inset: &dyn Fn(DVec2) -> f64) -> f64 {
    let (low, high) = extent(points.iter().map(|(p, _)| p.truncate()));
    if points.is_empty() {
        return 0.0;
    }
    let columns = ((high.x - low.x) / foot) as usize + 1;
    let rows = ((high.y - low.y) / foot) as usize + 1;
    let square = |p: DVec2| {
        let at = ((p - low) / foot).max(DVec2::ZERO);
        [(at.x as usize).min(columns - 1), (at.y as usize).min(rows - 1)]
    };
    let mut members: Vec<Vec<u32>> = vec![Vec::new(); columns * rows];
    for (index, (p, _)) in points.iter().enumerate() {
        let [x, y] = square(p.truncate());
        members[y * columns + x].push(index as u32);
    }
    let stride = points.len().div_ceil(PROBES).max(1);
    let mut angles: Vec<(f64, f64)> = Vec::new();
    for (probe, _) in points.iter().step_by(stride) {
        let at = probe.truncate();
        if inset(at) < foot {
            continue;
        }
        let ([x0, y0], [x1, y1]) = (square(at - foot), square(at + foot));
        let near = (y0..=y1)
            .flat_map(|y| (x0..=x1).map(move |x| (x, y)))
            .flat_map(|(x, y)| &members[y * columns + x]);
        let (mut moments, mut count) = (Moments::default(), 0);
        for (p, weight) in
            near.map(|index| points[*index as usize]).filter(|(p, _)| p.truncate().distance(at) <= foot)
        {
            moments.add(p - *probe, weight);
            count += 1;
        }
        if count >= LEAST_UNDER_FOOT {
            let cosine = moments.plane().normal().dot(plane.normal()).clamp(-1.0, 1.0);
            angles.push((cosine.acos().to_degrees(), 1.0));
        }
    }
    share(&mut angles)
}

/// The radius and the middle of the largest disc inside an outline, sought from the middles of its cells.
fn room(middles: &[DVec2], inset: &dyn Fn(DVec2) -> f64) -> (f64, DVec2) {
    let stride = middles.len().div_ceil(4 * PROBES).max(1);
    let rated = middles.iter().step_by(stride).map(|p| (inset(*p), *p));
    let Some((mut best, mut at)) = rated.max_by(|a, b| a.0.total_cmp(&b.0)) else {
        return (0.0, DVec2::ZERO);
    };
    let mut step = best;
    while step > 1e-5 {
        let next = (0..8).map(|i| {
            let p = at + DVec2::from_angle(f64::from(i) * std::f64::consts::FRAC_PI_4) * step;
            (inset(p), p)
        });
        // The inset knows no inside: a step never leads across the border, because it is no longer than the inset.
        match next.max_by(|a, b| a.0.total_cmp(&b.0)) {
            Some((farther, p)) if farther > best && step <= best => (best, at) = (farther, p),
            _ => step *= 0.5,
        }
    }
    (best, at)
}

/// Finds the surface under a point.
struct Finder<'a> {
    outlines: &'a Outlines,
    low: DVec2,
    width: f64,
    columns: usize,
    rows: usize,
    /// Surfaces and their pieces that reach into each square.
    members: Vec<Vec<(u32, u32)>>,
}

impl<'a> Finder<'a> {
    fn over(cells: &Cells, outlines: &'a Outlines) -> Self {
        let (low, high) = extent(cells.corners.iter().copied());
        let width = (high - low).max_element() / SQUARES;
        let columns = ((high.x - low.x) / width) as usize + 1;
        let rows = ((high.y - low.y) / width) as usize + 1;
        let mut finder =
            Self { outlines, low, width, columns, rows, members: vec![Vec::new(); columns * rows] };
        for (number, pieces) in outlines.pieces.iter().enumerate() {
            for (piece, ring) in pieces.iter().enumerate() {
                let (from, to) = extent(ring.iter().copied());
                let ([x0, y0], [x1, y1]) = (finder.square(from), finder.square(to));
                for (x, y) in (y0..=y1).flat_map(|y| (x0..=x1).map(move |x| (x, y))) {
                    finder.members[y * columns + x].push((number as u32, piece as u32));
                }
            }
        }
        finder
    }

    fn square(&self, p: DVec2) -> [usize; 2] {
        let at = ((p - self.low) / self.width).max(DVec2::ZERO);
        [(at.x as usize).min(self.columns - 1), (at.y as usize).min(self.rows - 1)]
    }

    fn at(&self, p: DVec2) -> Option<u32> {
        let [x, y] = self.square(p);
        let candidates = &self.members[y * self.columns + x];
        let hit = candidates
            .iter()
            .find(|(number, piece)| contains(&self.outlines.pieces[*number as usize][*piece as usize], p));
        hit.map(|(number, _)| *number)
    }
}
