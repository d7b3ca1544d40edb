//! What all searches for shortest drives on one face share: free parts of rims, straight paths that touch two rims, and the tangents of places that
//! were already requested.

use super::site_face::ends_at;
use super::{Face, Round};
use crate::geometry::surface::{Carrier, Curve, common};
use crate::math::{DVec3, turn_of};
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use std::cell::{Cell, RefCell};
use std::f64::consts::TAU;
use std::sync::Arc;

/// A stretch of a rim whose gap is smaller than this fraction of a turn is the whole rim.
const NO_GAP: f64 = 1e-12;
/// A path is empty if the squared distance of its ends is below this, in m²: rounding.
pub(super) const NO_WAY_M2: f64 = 1e-20;

/// A place on the free part of a rim.
#[derive(Clone, Copy, Debug)]
pub(super) struct OnRim {
    pub(super) position: DVec3,
    /// Index of its free stretch among those of all rims.
    pub(super) stretch: usize,
    /// Angle from the stretch's beginning, in radians.
    pub(super) offset: f64,
    /// Whether the straight path there is square to the rim, so that the mover has to yaw.
    pub(super) is_square: bool,
}

/// A free stretch of a rim.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stretch {
    from: f64,
    width: f64,
    /// The circle, counter-clockwise about the ring's pole.
    pub(super) round: Round,
    /// Radius of the rim, in metres.
    pub(super) radius: f64,
    /// Whether it is a whole circle.
    pub(super) is_ring: bool,
    /// Whether all of it is known to be clear of decks.
    pub(super) clears_solids: bool,
}

/// A straight path between two places on rims.
#[derive(Clone, Debug)]
pub(super) struct Link {
    pub(super) length: f64,
    /// Whether the site is known to allow it.
    is_allowed: bool,
    /// Whether it is free; `None` if not yet known.
    clear: Cell<Option<bool>>,
}

/// Knots on rims in the order of their stretches and offsets.
#[derive(Clone, Debug, Default)]
pub(super) struct Along {
    pub(super) knots: Vec<usize>,
    /// Where the knots of each stretch begin; one more entry than there are stretches.
    pub(super) first: Vec<usize>,
}

impl Along {
    fn new(rims: &[OnRim], stretches: usize) -> Self {
        let mut knots: Vec<usize> = (0..rims.len()).collect();
        knots.sort_unstable_by(|&a, &b| {
            let by_offset = || rims[a].offset.total_cmp(&rims[b].offset).then(a.cmp(&b));
            rims[a].stretch.cmp(&rims[b].stretch).then_with(by_offset)
        });
        let first =
            (0..=stretches).map(|stretch| knots.partition_point(|&knot| rims[knot].stretch < stretch));
        let first = first.collect();
        Self { knots, first }
    }
}

#[derive(Clone, Debug, Default)]
pub(super) struct Tangents {
    /// The rings as curves.
    rims: Vec<Curve>,
    pub(super) stretches: Vec<Stretch>,
    /// Stretches of each ring.
    of_ring: Vec<std::ops::Range<usize>>,
    /// Ends of straight paths that touch two rims; those of each link are contiguous.
    pub(super) knots: Vec<OnRim>,
    pub(super) links: Vec<Link>,
    /// These ends in order.
    pub(super) along: Along,
    /// Places where paths bend at the edges of decks.
    pub(super) corners: Vec<DVec3>,
    /// Free tangents of places, stored by place.
    of_place: RefCell<IndexMap<[u64; 3], Arc<[OnRim]>, FxBuildHasher>>,
}

impl Tangents {
    pub(super) fn new(face: &Face<'_>) -> Self {
        let mut found = Self { corners: face.corners(), ..Self::default() };
        for shape in &face.rings {
            let rim = face.carrier.rim(shape);
            let round = match face.carrier {
                Carrier::Sphere { centre, .. } => Round { centre, axis: shape.pole },
                Carrier::Plane(plane) => Round { centre: shape.pole, axis: plane.normal },
            };
            let first = found.stretches.len();
            let radius = rim.radius().unwrap_or(0.0);
            let free = face.clearance.free_stretches(&rim);
            let stretch = |(from, width): (f64, f64), clears_solids: bool| {
                let is_ring = width >= TAU * (1.0 - NO_GAP);
                Stretch { from, width, round, radius, is_ring, clears_solids }
            };
            if let Some(inside) = face.site_rim(found.rims.len()) {
                for part in inside {
                    let left = common(&[part.interval], &free, TAU, true).into_iter();
                    found.stretches.extend(left.map(|interval| stretch(interval, part.is_allowed)));
                }
            } else {
                let clears_solids = !free.is_empty() && face.clearance.circle_clears_solids(&rim);
                found.stretches.extend(free.into_iter().map(|interval| stretch(interval, clears_solids)));
            }
            found.rims.push(rim);
            found.of_ring.push(first..found.stretches.len());
        }
        for (index, ring) in face.rings.iter().enumerate() {
            let is_of_site = face.site_rim(index).is_some();
            for (other, beside) in face.rings.iter().enumerate().take(index) {
                if !(is_of_site && face.site_rim(other).is_some()) && found.are_free(index, other) {
                    let links = face.carrier.bitangents(ring, beside);
                    links.into_iter().for_each(|ends| found.add_link(face, [index, other], ends, false));
                }
            }
        }
        for ([index, other], [p, q]) in face.site_links() {
            found.add_link(face, [index, other], (p, q), true);
        }
        found.along = Along::new(&found.knots, found.stretches.len());
        found
    }

    /// Whether two rims are free somewhere.
    fn are_free(&self, index: usize, other: usize) -> bool {
        !self.of_ring[index].is_empty() && !self.of_ring[other].is_empty()
    }

    fn add_link(
        &mut self,
        face: &Face<'_>,
        [index, other]: [usize; 2],
        (p, q): (DVec3, DVec3),
        is_allowed: bool,
    ) {
        let ends = (self.on_rim(index, p), self.on_rim(other, q));
        let (Some(p), Some(q)) = ends else { return };
        let length = face.carrier.distance(p.position, q.position);
        self.knots.extend([p, q]);
        self.links.push(Link { length, is_allowed, clear: Cell::new(None) });
    }

    /// The position of a point of a rim on its free part; `None` where it is not free.
    fn on_rim(&self, ring: usize, position: DVec3) -> Option<OnRim> {
        if self.of_ring[ring].is_empty() {
            return None;
        }
        let angle = self.rims[ring].parameter(position);
        self.of_ring[ring].clone().find_map(|stretch| {
            let Stretch { from, width, .. } = self.stretches[stretch];
            let offset = turn_of(angle - from);
            (offset <= width).then_some(OnRim { position, stretch, offset, is_square: false })
        })
    }

    /// The link of a knot, and the knot at its other end.
    pub(super) fn link_of(&self, knot: usize) -> Option<(usize, usize)> {
        (knot < self.knots.len()).then_some((knot / 2, knot ^ 1))
    }

    /// Whether a link is free.
    pub(super) fn is_clear(&self, face: &Face<'_>, link: usize) -> bool {
        let Link { clear, is_allowed, .. } = &self.links[link];
        clear.get().unwrap_or_else(|| {
            let [from, to] = [2 * link, 2 * link + 1].map(|end| self.knots[end].position);
            let is_clear = face.is_straight_clear(from, to, *is_allowed);
            clear.set(Some(is_clear));
            is_clear
        })
    }

    /// Free straight paths from a place that touch rims, or lead straight out to a rim from within its clearance.
    pub(super) fn of_place(&self, face: &Face<'_>, place: DVec3) -> Arc<[OnRim]> {
        let key = place.to_array().map(f64::to_bits);
        if let Some(known) = self.of_place.borrow().get(&key) {
            return Arc::clone(known);
        }
        let seen = face.seen_from(place);
        let mut found: Vec<OnRim> = Vec::with_capacity(2 * face.rings.len());
        for (index, ring) in face.rings.iter().enumerate() {
            if self.of_ring[index].is_empty() {
                continue;
            }
            let mut offer = |position: DVec3, stays: bool, is_square: bool, is_allowed: bool| {
                if let Some(on) = self.on_rim(index, position)
                    && (stays || face.is_straight_clear(place, position, is_allowed))
                {
                    found.push(OnRim { is_square, ..on });
                }
            };
            let stays = |position: DVec3| position.distance_squared(place) < NO_WAY_M2;
            if let Some(own) = face.site_index(index) {
                let first = seen.partition_point(|rim| rim.index < own);
                for rim in seen[first..].iter().take_while(|rim| rim.index == own) {
                    offer(rim.at, stays(rim.at), rim.is_square, rim.is_allowed);
                }
                continue;
            }
            let (ends, within_room) = ends_at(&face.carrier, place, ring);
            for position in ends.into_iter().flatten() {
                offer(position, stays(position), within_room && !stays(position), false);
            }
        }
        let found: Arc<[OnRim]> = found.into();
        self.of_place.borrow_mut().insert(key, Arc::clone(&found));
        found
    }
}
