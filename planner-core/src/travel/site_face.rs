//! What the site alone gives to the face of a ground, whatever the crew: rims of corners, and straight paths between them.
//!
//! On a surveyed terrain these are many, and few of them lead anywhere. So they are sorted out once for each ground and size of module.

use super::face::Face;
use crate::geometry::surface::{Carrier, Curve, Obstacle, Ring, free_stretches};
use crate::geometry::{Outline, Path};
use crate::math::{DVec3, sin_cos, turn_of};
use crate::model::{Kind, Problem};
use std::sync::Arc;

/// The part of a ground's face that depends on no module.
#[derive(Clone, Debug)]
pub(super) struct SiteFace {
    /// Rims of stones, of corners of other decks, and of reflex corners of the own outline, as tight as they may be.
    pub(super) tight: Vec<Ring>,
    /// The same, widened by the clearance where the site leaves room.
    pub(super) roomy: Vec<Ring>,
    /// The stretches of each of these rims on which the foot is inside the outline.
    pub(super) inside: Vec<Vec<Inside>>,
    /// Straight paths that touch two of these rims and meet no deck: the rims' indices and the ends.
    pub(super) links: Vec<([usize; 2], [DVec3; 2])>,
}

/// A stretch of a rim on which the foot is inside the outline.
#[derive(Clone, Copy, Debug)]
pub(super) struct Inside {
    /// Start and width of the rim's parameter.
    pub(super) interval: (f64, f64),
    /// Whether the site allows all of it.
    pub(super) is_allowed: bool,
}

impl SiteFace {
    /// That of a bare mover's face, of whose crew it does not depend: from the ground's outline, the foot's radius in metres, and the rims that the
    /// site gives, tight and widened.
    pub(super) fn new(
        face: &Face<'_>,
        (outline, radius): (&Arc<Outline>, f64),
        tight: Vec<Ring>,
        roomy: Vec<Ring>,
    ) -> Self {
        let outline = match face.carrier {
            Carrier::Plane(plane) => {
                vec![Obstacle::OutsideArea { plane, outline: Arc::clone(outline), radius }]
            }
            Carrier::Sphere { .. } => Vec::new(),
        };
        let inside = |ring: &Ring| {
            let rim = face.carrier.rim(ring);
            let stretch = |interval| Inside { interval, is_allowed: is_allowed(face, &rim, interval) };
            free_stretches(&rim, &outline).into_iter().map(stretch).collect::<Vec<Inside>>()
        };
        let rims: Vec<(Ring, Ring, Vec<Inside>)> = tight
            .into_iter()
            .zip(roomy)
            .map(|(tight, roomy)| (tight, roomy, inside(&roomy)))
            .filter(|(_, _, inside)| !inside.is_empty())
            .collect();
        let mut new = Self { tight: Vec::new(), roomy: Vec::new(), inside: Vec::new(), links: Vec::new() };
        for (tight, roomy, inside) in rims {
            new.tight.push(tight);
            new.roomy.push(roomy);
            new.inside.push(inside);
        }
        new.links = new.links(face);
        new
    }

    fn links(&self, face: &Face<'_>) -> Vec<([usize; 2], [DVec3; 2])> {
        let is_inside = |index: usize, at: DVec3| {
            let angle = face.carrier.rim(&self.roomy[index]).parameter(at);
            self.inside[index].iter().any(|stretch| holds(stretch.interval, angle))
        };
        let mut links = Vec::new();
        for (index, ring) in self.roomy.iter().enumerate() {
            for (other, beside) in self.roomy.iter().enumerate().take(index) {
                for (p, q) in face.carrier.bitangents(ring, beside) {
                    if is_inside(index, p)
                        && is_inside(other, q)
                        && face.clearance.site_allows(&Path::Line { from: p, step: q - p })
                    {
                        links.push(([index, other], [p, q]));
                    }
                }
            }
        }
        links
    }
}

/// Whether the site allows all of a piece of a rim.
fn is_allowed(face: &Face<'_>, rim: &Curve, (from, width): (f64, f64)) -> bool {
    let Curve::Circle { centre, u, v, .. } = *rim else { return false };
    let (sin, cos) = sin_cos(from);
    let (cosine, sine) = (u * cos + v * sin, v * cos - u * sin);
    face.clearance.site_allows(&Path::Arc { centre, cosine, sine, span: width })
}

/// Whether an interval of a circle, as start and width, holds an angle.
fn holds((from, width): (f64, f64), angle: f64) -> bool {
    turn_of(angle - from) <= width
}

/// The key under which a ground keeps what depends on the site and a kind alone: the kind's sizes and limits, the clearance, and the stones.
pub(super) fn kept_for(problem: &Problem, kind: &Kind) -> Vec<f64> {
    let sizes = [kind.shell_radius_m, kind.ride_height_m, kind.foot_radius_m];
    let limits = [kind.step_limit_m, kind.crease_limit_rad, problem.limits.clearance_m];
    let stones = problem.stones.iter().flat_map(|stone| {
        let [x, y, z] = stone.centre.to_array();
        [x, y, z, stone.radius_m]
    });
    sizes.into_iter().chain(limits).chain(stones).collect()
}
