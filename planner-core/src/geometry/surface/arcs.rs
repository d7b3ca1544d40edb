//! The free pieces of boundary curves.

use super::curve::{Candidate, Curve, boundary};
use super::intervals::{Forbidden, common};
use super::{Carrier, Obstacle, Plane};
use crate::control::{Interrupt, Stopped};
use crate::math::{DVec2, DVec3, Wave, acos, atan2};

/// A piece of a circle whose gap is smaller than this fraction of it is the whole circle.
const NO_GAP: f64 = 1e-12;
/// A cap within another by less than this, as a cosine, may share its rim.
const WITHIN_COS: f64 = 1e-12;
/// Two circles are equal if their centres (in metres), axes and squared radii agree within these: rounding. They are squares.
const SAME_CENTRE_M2: f64 = 1e-20;
const SAME_AXIS_SQUARED: f64 = 1e-16;
const SAME_RADIUS_M2: f64 = 1e-16;
/// A middle that is forbidden by less than this, in metres, lies on a rim: its piece is no wider than rounding.
const ON_RIM_M: f64 = 1e-9;
/// Directions whose cross product is below this are parallel.
const PARALLEL: f64 = 1e-12;

/// A piece of a boundary: the free side is on its left.
#[derive(Clone, Debug, PartialEq)]
pub struct Arc {
    /// Index of the obstacle it bounds.
    pub obstacle: usize,
    /// The whole curve.
    pub curve: Curve,
    /// Parameter where the piece begins.
    pub from: f64,
    /// Width of the piece in the parameter.
    pub width: f64,
}

impl Arc {
    /// The point at a fraction of the piece.
    #[must_use]
    pub fn at(&self, share: f64) -> DVec3 {
        self.curve.at(self.from + share * self.width)
    }

    /// Its length, in metres.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.curve.length_of(self.width)
    }

    /// The pieces of it that more obstacles leave free.
    #[must_use]
    pub fn left_by(&self, obstacles: &[Obstacle]) -> Vec<Self> {
        let ring = matches!(self.curve, Curve::Circle { .. });
        let free = free_stretches(&self.curve, obstacles);
        let left = common(&[(self.from, self.width)], &free, self.curve.span(), ring);
        left.into_iter().map(|(from, width)| Self { from, width, ..self.clone() }).collect()
    }

    /// Whether it is a whole circle.
    #[must_use]
    pub fn is_ring(&self) -> bool {
        matches!(self.curve, Curve::Circle { .. }) && self.width >= self.curve.span() * (1.0 - NO_GAP)
    }
}

/// All boundary pieces that no obstacle forbids; `None` when one obstacle forbids the whole carrier.
///
/// # Errors
/// When interrupted; the interrupt is polled for every boundary.
pub fn free_arcs(
    carrier: &Carrier,
    obstacles: &[Obstacle],
    interrupt: Interrupt<'_>,
) -> Result<Option<Vec<Arc>>, Stopped> {
    // Candidates of one obstacle are contiguous; the first of several equal circles stands for all their obstacles.
    let mut candidates: Vec<(usize, Candidate)> = Vec::new();
    let mut first: Vec<usize> = vec![0];
    for (index, obstacle) in obstacles.iter().enumerate() {
        let Some(own) = boundary(carrier, obstacle) else { return Ok(None) };
        candidates.extend(own.into_iter().map(|candidate| (index, candidate)));
        first.push(candidates.len());
    }
    let hidden = hidden_caps(carrier, &candidates, &first);
    let discs: Vec<Option<(DVec2, f64)>> = obstacles.iter().map(disc_around).collect();
    let mut arcs = Vec::new();
    for (number, (own, candidate)) in candidates.iter().enumerate() {
        interrupt.go_on()?;
        if hidden[*own] {
            continue;
        }
        let twin_of = |index: usize| {
            (first[index]..first[index + 1])
                .find(|&k| k != number && same_circle(&candidates[k].1.curve, &candidate.curve))
        };
        let ring = matches!(candidate.curve, Curve::Circle { .. });
        let mut forbidden = Forbidden::new(candidate.curve.span(), ring);
        for plane in &candidate.within {
            forbid_above(&candidate.curve, plane, &mut forbidden);
        }
        for (index, obstacle) in obstacles.iter().enumerate() {
            if forbidden.is_all() {
                break;
            }
            if index == *own || hidden[index] || apart(&candidate.curve, obstacle, discs[index]) {
                continue;
            }
            match twin_of(index) {
                Some(twin) if twin < number => forbidden.all(),
                Some(_) => {}
                None => {
                    let rims = &candidates[first[index]..first[index + 1]];
                    forbid(&candidate.curve, obstacle, rims, &mut forbidden);
                }
            }
        }
        if let Obstacle::NearPolygon { .. } | Obstacle::OutsideArea { .. } = &obstacles[*own] {
            // Other edges of the same polygon may be nearer.
            let rims = &candidates[first[*own]..first[*own + 1]];
            by_midpoints(&candidate.curve, &obstacles[*own], rims, &mut forbidden);
        }
        arcs.extend(forbidden.free().into_iter().map(|(from, width)| Arc {
            obstacle: *own,
            curve: candidate.curve.clone(),
            from,
            width,
        }));
    }
    Ok(Some(arcs))
}

/// For each obstacle, whether it forbids a cap of a sphere that lies well within the cap of another: then it bounds nothing and forbids nothing more.
fn hidden_caps(carrier: &Carrier, candidates: &[(usize, Candidate)], first: &[usize]) -> Vec<bool> {
    let mut hidden = vec![false; first.len() - 1];
    let Carrier::Sphere { centre: c, radius } = carrier else { return hidden };
    // Pole, cosine and sine of the angular radius.
    let caps: Vec<(usize, DVec3, [f64; 2])> = (0..hidden.len())
        .filter_map(|index| match &candidates[first[index]..first[index + 1]] {
            [(_, Candidate { curve: Curve::Circle { centre, axis, u, .. }, within })]
                if within.is_empty() =>
            {
                let cos = (*c - *centre).dot(*axis) / radius;
                Some((index, -*axis, [cos, u.length() / radius]))
            }
            _ => None,
        })
        .collect();
    for (index, pole, [cos, sin]) in &caps {
        hidden[*index] = caps.iter().any(|(_, wider, [wide_cos, wide_sin])| {
            // The wider radius is at least this one and the angle between the poles.
            wide_cos < cos && pole.dot(*wider) > wide_cos * cos + wide_sin * sin + WITHIN_COS
        });
    }
    hidden
}

/// Whether a curve and an obstacle certainly do not meet; `disc` is around the obstacle, if it is a polygon.
fn apart(curve: &Curve, obstacle: &Obstacle, disc: Option<(DVec2, f64)>) -> bool {
    match (curve, obstacle, disc) {
        (Curve::Circle { centre: c, u, .. }, Obstacle::Ball { centre, radius }, _) => {
            // No more than the squares, as (a + b)² ≤ 2a² + 2b².
            c.distance_squared(*centre) > 2.0 * (u.length_squared() + radius * radius)
        }
        (_, Obstacle::NearPolygon { plane, .. }, Some((middle, far))) => {
            let (centre, reach) = curve.ball_around();
            plane.coordinates(centre).distance(middle) > reach + far
        }
        _ => false,
    }
}

/// A disc around a polygon and what is near it, in the coordinates of its plane: centre and radius.
fn disc_around(obstacle: &Obstacle) -> Option<(DVec2, f64)> {
    let Obstacle::NearPolygon { outline, radius, .. } = obstacle else { return None };
    let low = outline.iter().copied().fold(DVec2::INFINITY, DVec2::min);
    let high = outline.iter().copied().fold(DVec2::NEG_INFINITY, DVec2::max);
    Some((low.midpoint(high), 0.5 * low.distance(high) + radius))
}

/// The intervals of a curve that no obstacle forbids, as start and width of the parameter. Polygons count only for curves parallel to their plane.
#[must_use]
pub fn free_stretches(curve: &Curve, obstacles: &[Obstacle]) -> Vec<(f64, f64)> {
    let ring = matches!(curve, Curve::Circle { .. });
    let mut forbidden = Forbidden::new(curve.span(), ring);
    for obstacle in obstacles.iter().filter(|obstacle| !apart(curve, obstacle, disc_around(obstacle))) {
        if forbidden.is_all() {
            return Vec::new();
        }
        match obstacle {
            Obstacle::Inside(planes) if planes.len() > 1 => {
                let mut cuts: Vec<f64> =
                    planes.iter().flat_map(|plane| plane_meetings(curve, plane)).collect();
                cuts.extend([0.0, curve.span()]);
                forbid_pieces(curve, obstacle, cuts, &mut forbidden);
            }
            Obstacle::OutsideArea { plane, .. } | Obstacle::NearPolygon { plane, .. } => {
                let carrier = super::Carrier::Plane(plane.raised(plane.above(curve.at(0.0))));
                let rims = boundary(&carrier, obstacle).unwrap_or_default();
                let mut cuts: Vec<f64> = rims.iter().flat_map(|rim| meetings(curve, &rim.curve)).collect();
                cuts.extend([0.0, curve.span()]);
                forbid_pieces(curve, obstacle, cuts, &mut forbidden);
            }
            _ => forbid(curve, obstacle, &[], &mut forbidden),
        }
    }
    forbidden.free()
}

/// Whether two circles of one carrier are equal: touching bodies can forbid the same cap.
fn same_circle(a: &Curve, b: &Curve) -> bool {
    match (a, b) {
        (Curve::Circle { centre: c, axis: n, u, .. }, Curve::Circle { centre: d, axis: m, u: w, .. }) => {
            c.distance_squared(*d) < SAME_CENTRE_M2
                && n.distance_squared(*m) < SAME_AXIS_SQUARED
                && (u.length_squared() - w.length_squared()).abs() < SAME_RADIUS_M2
        }
        _ => false,
    }
}

fn forbid(curve: &Curve, obstacle: &Obstacle, rims: &[(usize, Candidate)], forbidden: &mut Forbidden) {
    match (curve, obstacle) {
        (Curve::Circle { centre, u, v, .. }, Obstacle::Ball { centre: ball, radius }) => {
            forbid_negative(Curve::ball_wave(*centre, *u, *v, *ball, *radius), forbidden);
        }
        (Curve::Circle { centre, u, v, .. }, Obstacle::Inside(planes)) if planes.len() == 1 => {
            forbid_negative(Curve::plane_wave(*centre, *u, *v, &planes[0]), forbidden);
        }
        (Curve::Line { from, direction, .. }, Obstacle::Ball { centre, radius }) => {
            let arm = *from - *centre;
            let half = arm.dot(*direction);
            let squared = half * half - arm.length_squared() + radius * radius;
            if squared > 0.0 {
                forbidden.push(-half - squared.sqrt(), 2.0 * squared.sqrt());
            }
        }
        _ => by_midpoints(curve, obstacle, rims, forbidden),
    }
}

/// Forbids where a wave is negative.
fn forbid_negative(wave: Wave, forbidden: &mut Forbidden) {
    let amplitude = (wave.cosine * wave.cosine + wave.sine * wave.sine).sqrt();
    if wave.mean <= -amplitude {
        forbidden.all();
    } else if wave.mean < amplitude {
        let half = acos(wave.mean / amplitude);
        let trough = atan2(wave.sine, wave.cosine) + std::f64::consts::PI;
        forbidden.push(trough - half, 2.0 * half);
    }
}

fn forbid_above(curve: &Curve, plane: &Plane, forbidden: &mut Forbidden) {
    if let Curve::Circle { centre, u, v, .. } = curve {
        let wave = Curve::plane_wave(*centre, *u, *v, plane);
        forbid_negative(Wave::new(-wave.mean, -wave.cosine, -wave.sine), forbidden);
    }
}

/// Cuts a curve where it meets any boundary of an obstacle, and forbids the pieces whose middle is forbidden.
fn by_midpoints(curve: &Curve, obstacle: &Obstacle, rims: &[(usize, Candidate)], forbidden: &mut Forbidden) {
    let span = curve.span();
    let mut cuts = vec![0.0, span];
    for (_, candidate) in rims {
        cuts.extend(meetings(curve, &candidate.curve));
        if candidate.curve == *curve {
            // Around a corner the neighbouring lines are only touched: cut where they begin.
            cuts.extend(candidate.within.iter().flat_map(|plane| plane_meetings(curve, plane)));
        }
    }
    forbid_pieces(curve, obstacle, cuts, forbidden);
}

/// Forbids the pieces between cuts whose middle is forbidden.
fn forbid_pieces(curve: &Curve, obstacle: &Obstacle, mut cuts: Vec<f64>, forbidden: &mut Forbidden) {
    let span = curve.span();
    cuts.retain(|t| (0.0..=span).contains(t));
    cuts.sort_by(f64::total_cmp);
    for pair in cuts.windows(2) {
        let middle = curve.at(0.5 * (pair[0] + pair[1]));
        if obstacle.clearance(middle) < -ON_RIM_M {
            forbidden.push(pair[0], pair[1] - pair[0]);
        }
    }
}

/// Parameters at which one curve of a carrier meets another.
fn meetings(curve: &Curve, other: &Curve) -> Vec<f64> {
    match (curve, other) {
        (Curve::Circle { centre, u, v, .. }, Curve::Circle { centre: c, axis, u: w, .. }) => {
            // On a sphere the other circle is a plane; on a plane, where both axes agree, it is a ball.
            let parallel = axis.cross(u.cross(*v)).length() < PARALLEL * u.length_squared();
            let wave = if parallel {
                Curve::ball_wave(*centre, *u, *v, *c, w.length())
            } else {
                Curve::plane_wave(*centre, *u, *v, &Plane { normal: *axis, offset: axis.dot(*c) })
            };
            wave.roots(curve.span()).collect()
        }
        (Curve::Circle { .. }, Curve::Line { from, direction, up, .. }) => {
            let normal = up.cross(*direction);
            plane_meetings(curve, &Plane { normal, offset: normal.dot(*from) })
        }
        (Curve::Line { from, direction, .. }, Curve::Circle { centre, u, .. }) => {
            let arm = *from - *centre;
            let half = arm.dot(*direction);
            let squared = half * half - arm.length_squared() + u.length_squared();
            if squared > 0.0 { vec![-half - squared.sqrt(), -half + squared.sqrt()] } else { Vec::new() }
        }
        (Curve::Line { from, direction, .. }, Curve::Line { from: f, direction: d, up, .. }) => {
            let normal = up.cross(*d);
            let rate = normal.dot(*direction);
            if rate.abs() > PARALLEL { vec![normal.dot(*f - *from) / rate] } else { Vec::new() }
        }
    }
}

/// Parameters at which a circle meets a plane.
fn plane_meetings(curve: &Curve, plane: &Plane) -> Vec<f64> {
    match curve {
        Curve::Circle { centre, u, v, .. } => {
            Curve::plane_wave(*centre, *u, *v, plane).roots(curve.span()).collect()
        }
        Curve::Line { .. } => Vec::new(),
    }
}
