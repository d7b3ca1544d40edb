//! What the site alone gives to the face of a ground, whatever the crew: rims of corners, and straight paths between them.
//!
//! On a surveyed terrain these are many, and few of them lead anywhere. So they are sorted out once for each ground and size of module.

use super::face::Face;
use crate::geometry::surface::{Carrier, Obstacle, Ring, free_stretches};
use crate::geometry::{Outline, Path};
use crate::math::{DVec3, turn_of};
use crate::model::{Kind, Problem};
use std::f64::consts::TAU;
use std::sync::Arc;

/// The part of a ground's face that depends on no module.
#[derive(Clone, Debug)]
pub(super) struct SiteFace {
    /// Rims of stones, of corners of other decks, and of reflex corners of the own outline, as tight as they may be.
    pub(super) tight: Vec<Ring>,
    /// The same, widened by the clearance where the site leaves room.
    pub(super) roomy: Vec<Ring>,
    /// The intervals of each of these rims on which the foot is inside the outline, as start and width of its parameter.
    pub(super) inside: Vec<Vec<(f64, f64)>>,
    /// Straight paths that touch two of these rims and meet no deck: the rims' indices and the ends.
    pub(super) links: Vec<([usize; 2], [DVec3; 2])>,
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
        let inside = |ring: &Ring| free_stretches(&face.carrier.rim(ring), &outline);
        let rims: Vec<(Ring, Ring, Vec<(f64, f64)>)> = tight
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
            self.inside[index].iter().any(|&stretch| holds(stretch, angle))
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

/// Whether an interval of a circle, as start and width, holds an angle.
fn holds((from, width): (f64, f64), angle: f64) -> bool {
    turn_of(angle - from) <= width
}

/// The common parts of intervals of one circle, as start and width.
pub(super) fn common(some: &[(f64, f64)], others: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    for &(a, a_width) in some {
        for &(b, b_width) in others {
            if a_width >= TAU || b_width >= TAU {
                found.push(if a_width >= TAU { (b, b_width) } else { (a, a_width) });
                continue;
            }
            // The second begins within the first, or the first within the second, or both.
            let (after, before) = (turn_of(b - a), turn_of(a - b));
            if after < a_width {
                found.push((b, b_width.min(a_width - after)));
            }
            if before < b_width && before > 0.0 {
                found.push((a, a_width.min(b_width - before)));
            }
        }
    }
    found
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
