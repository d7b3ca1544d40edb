//! What the site alone gives to the face of a ground, whatever the crew: rims of corners, and straight paths between them.
//!
//! On a surveyed terrain these are many, and few of them lead anywhere. So they are sorted out once for each ground and size of module.

use super::face::Face;
use super::tangents::NO_WAY_M2;
use crate::control::{Interrupt, Stopped};
use crate::geometry::surface::{Carrier, Curve, Obstacle, Ring, free_stretches};
use crate::geometry::{Outline, Path};
use crate::math::{DVec3, sin_cos, turn_of};
use crate::model::{Kind, Problem};
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;
use std::f64::consts::TAU;
use std::sync::{Arc, Mutex};

/// The part of a ground's face that depends on no module.
#[derive(Debug)]
pub(super) struct SiteFace {
    /// Rims of stones, of corners of other decks, and of reflex corners of the own outline, as tight as they may be.
    pub(super) tight: Vec<Ring>,
    /// The same, widened by the clearance where the site leaves room.
    pub(super) roomy: Vec<Ring>,
    /// The stretches of each of these rims that the site allows.
    pub(super) inside: Vec<Vec<Inside>>,
    /// Straight paths that touch two of these rims and meet no deck.
    pub(super) links: Vec<Link>,
    /// For each stretch of each rim, the part of the face that it lies in: no drive joins two parts.
    parts: Vec<Vec<usize>>,
    /// Rims that places see, by place.
    seen: Mutex<FxHashMap<[u64; 3], Arc<[Seen]>>>,
}

/// A rim that is seen from a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    /// Index of the rim.
    pub(super) index: usize,
    /// Index of its stretch.
    stretch: usize,
    /// Where the straight path to it ends.
    pub(super) at: DVec3,
    /// Whether that path is square to the rim, so that the mover has to yaw.
    pub(super) is_square: bool,
    /// Whether it keeps all clearance from decks; otherwise it is only free of them.
    pub(super) is_allowed: bool,
}

/// A straight path that touches two rims: their indices, and its ends.
pub(super) type Link = ([usize; 2], [DVec3; 2]);

/// A stretch of a rim on which the foot is inside the outline and, as far as that is known, all clearance from decks is kept.
#[derive(Clone, Copy, Debug)]
pub(super) struct Inside {
    /// Start and width of the rim's parameter.
    pub(super) interval: (f64, f64),
    /// Whether the site is known to allow all of it; of others each piece is tested.
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
        interrupt: Interrupt<'_>,
    ) -> Result<Self, Stopped> {
        let outline = match face.carrier {
            Carrier::Plane(plane) => {
                vec![Obstacle::OutsideArea { plane, outline: Arc::clone(outline), radius }]
            }
            Carrier::Sphere { .. } => Vec::new(),
        };
        let inside = |ring: &Ring| {
            let rim = face.carrier.rim(ring);
            let free = free_stretches(&rim, &outline).into_iter();
            free.flat_map(|interval| allowed_parts(face, &rim, interval)).collect::<Vec<Inside>>()
        };
        let mut new = Self {
            tight: Vec::new(),
            roomy: Vec::new(),
            inside: Vec::new(),
            links: Vec::new(),
            parts: Vec::new(),
            seen: Mutex::default(),
        };
        for (tight, roomy) in tight.into_iter().zip(roomy) {
            interrupt.go_on()?;
            let inside = inside(&roomy);
            if !inside.is_empty() {
                new.tight.push(tight);
                new.roomy.push(roomy);
                new.inside.push(inside);
            }
        }
        new.links = new.links(face, interrupt)?;
        new.parts = new.parts(face);
        Ok(new)
    }

    fn links(&self, face: &Face<'_>, interrupt: Interrupt<'_>) -> Result<Vec<Link>, Stopped> {
        let is_inside = |index: usize, at: DVec3| self.stretch(face, index, at).is_some();
        let mut links = Vec::new();
        for (index, ring) in self.roomy.iter().enumerate() {
            interrupt.go_on()?;
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
        Ok(links)
    }

    /// The stretch of a rim on which a point of it lies, if the foot is inside the outline there.
    fn stretch(&self, face: &Face<'_>, index: usize, at: DVec3) -> Option<usize> {
        let angle = face.carrier.rim(&self.roomy[index]).parameter(at);
        self.inside[index].iter().position(|stretch| holds(stretch.interval, angle))
    }

    /// The parts of the stretches, joined by the straight paths between them.
    fn parts(&self, face: &Face<'_>) -> Vec<Vec<usize>> {
        let mut first = vec![0];
        first.extend(self.inside.iter().scan(0, |sum, inside| {
            *sum += inside.len();
            Some(*sum)
        }));
        let mut joined = UnionFind::new(first[self.inside.len()]);
        for (rims, ends) in &self.links {
            let [p, q] = [0, 1].map(|end| {
                let stretch = self.stretch(face, rims[end], ends[end]);
                stretch.map(|stretch| first[rims[end]] + stretch)
            });
            if let (Some(p), Some(q)) = (p, q) {
                joined.union(p, q);
            }
        }
        let part = |rim: usize, stretch: usize| joined.find(first[rim] + stretch);
        let of_rim = |(rim, inside): (usize, &Vec<Inside>)| (0..inside.len()).map(|s| part(rim, s)).collect();
        self.inside.iter().enumerate().map(of_rim).collect()
    }

    /// The part of a place: that of a rim which it sees. `None` where it sees none.
    pub(super) fn part_of(&self, face: &Face<'_>, place: DVec3) -> Option<usize> {
        let seen = self.seen_from(face, place);
        let rim = seen.iter().find(|rim| rim.is_allowed)?;
        Some(self.parts[rim.index][rim.stretch])
    }

    /// The ends of straight paths from a place that touch rims, or lead straight out to one from within its clearance, in the order of the rims; those
    /// that meet decks are left out.
    pub(super) fn seen_from(&self, face: &Face<'_>, place: DVec3) -> Arc<[Seen]> {
        let key = place.to_array().map(f64::to_bits);
        if let Some(known) = self.seen.lock().ok().and_then(|seen| seen.get(&key).map(Arc::clone)) {
            return known;
        }
        let mut found = Vec::new();
        for (index, ring) in self.roomy.iter().enumerate() {
            let (ends, within) = ends_at(&face.carrier, place, ring);
            for at in ends.into_iter().flatten() {
                let stays = at.distance_squared(place) < NO_WAY_M2;
                let path = Path::Line { from: place, step: at - place };
                let is_allowed = stays || face.clearance.site_allows(&path);
                if let Some(stretch) = self.stretch(face, index, at)
                    && (is_allowed || face.clearance.clears_solids(&path))
                {
                    found.push(Seen { index, stretch, at, is_square: within && !stays, is_allowed });
                }
            }
        }
        let found: Arc<[Seen]> = found.into();
        if let Ok(mut seen) = self.seen.lock()
            && seen.len() < MOST_PLACES
        {
            seen.insert(key, Arc::clone(&found));
        }
        found
    }
}

/// Most places whose rims are kept.
const MOST_PLACES: usize = 4096;

/// Where touching rims and leaving room for it ends a straight path from a place: at tangents; from within the clearance of a rim, or on it, at its
/// nearest point. With it whether the place is within.
pub(super) fn ends_at(carrier: &Carrier, place: DVec3, ring: &Ring) -> ([Option<DVec3>; 2], bool) {
    let nearest = carrier.onto_ring(place, ring);
    let within = carrier.is_within(ring, place);
    if nearest.is_some_and(|nearest| nearest.distance_squared(place) < ON_RIM_M2) {
        ([Some(place), None], within)
    } else if within {
        ([nearest, None], within)
    } else {
        (carrier.tangents(place, ring).map_or([None; 2], |touching| touching.map(Some)), within)
    }
}

/// The parts of a stretch of a rim that the site allows. A part is halved until all of it is allowed or none; where that takes too many halvings the
/// whole stretch is left as one that is not known to be allowed.
fn allowed_parts(face: &Face<'_>, rim: &Curve, (from, width): (f64, f64)) -> Vec<Inside> {
    let Curve::Circle { centre, u, v, .. } = *rim else { return Vec::new() };
    let radius = u.length();
    let mut parts: Vec<(f64, f64)> = Vec::new();
    let mut open = vec![(from, width)];
    for _ in 0..MOST_HALVINGS {
        let Some((from, width)) = open.pop() else { break };
        let (sin, cos) = sin_cos(from + 0.5 * width);
        let spare_m = face.clearance.spare_from_solids(centre + u * cos + v * sin);
        let reach_m = radius * 0.5 * width;
        if spare_m >= reach_m {
            match parts.last_mut().filter(|(begun, wide)| (begun + *wide - from).abs() < SAME_ANGLE_RAD) {
                Some(before) => before.1 = from + width - before.0,
                None => parts.push((from, width)),
            }
        } else if spare_m > -reach_m && reach_m > LEAST_PART_M {
            open.extend([(from + 0.5 * width, 0.5 * width), (from, 0.5 * width)]);
        }
    }
    if !open.is_empty() {
        return vec![Inside { interval: (from, width), is_allowed: false }];
    }
    // On a whole rim the last part may go on with the first.
    let is_whole = width >= TAU - SAME_ANGLE_RAD;
    if let (true, [first, .., last]) = (is_whole, parts.as_mut_slice())
        && (first.0 - from).abs() < SAME_ANGLE_RAD
        && (last.0 + last.1 - from - width).abs() < SAME_ANGLE_RAD
    {
        *first = (last.0, last.1 + first.1);
        parts.pop();
    }
    parts.into_iter().map(|interval| Inside { interval, is_allowed: true }).collect()
}

/// Most halvings of one stretch.
const MOST_HALVINGS: usize = 4000;
/// Parts of a rim shorter than this are left out, in metres.
const LEAST_PART_M: f64 = 1e-7;
/// Angles that differ by less are one, in radians: rounding.
const SAME_ANGLE_RAD: f64 = 1e-12;
/// A place is on a rim if the square of its distance is below this, in m²: rounding. Beside it by so little, a tangent would touch the rim some
/// nanometres away.
const ON_RIM_M2: f64 = 1e-24;

/// Whether an interval of a circle, as start and width, holds an angle.
fn holds((from, width): (f64, f64), angle: f64) -> bool {
    turn_of(angle - from) <= width
}

/// The key under which a ground keeps what depends on the site and a kind alone: the kind's sizes and limits, the clearance, and the stones.
pub(super) fn memo_key(problem: &Problem, kind: &Kind) -> Vec<f64> {
    let sizes = [kind.shell_radius_m, kind.ride_height_m, kind.foot_radius_m];
    let limits = [kind.step_limit_m, kind.crease_limit_rad, problem.limits.clearance_m];
    let stones = problem.stones.iter().flat_map(|stone| {
        let [x, y, z] = stone.centre.to_array();
        [x, y, z, stone.radius_m]
    });
    sizes.into_iter().chain(limits).chain(stones).collect()
}
