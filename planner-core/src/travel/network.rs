//! The tangent graph of a face: straight ways that touch rims, and pieces of rims between them.

use super::{Face, Round, Waypoint};
use crate::geometry::surface::{Carrier, Ring};
use crate::math::{DVec3, LeastFirst};

/// The knot where all drives begin; targets follow.
const START: usize = 0;

/// A place where a drive may change from straight to round.
struct Knot {
    position: DVec3,
    /// The ring it is on.
    ring: Option<usize>,
    /// Knots in sight, before obstacles are looked at.
    straight: Vec<usize>,
    /// The next knots along the ring: backwards and forwards about its pole.
    rim: Option<(usize, usize)>,
}

/// The graph for one start and several targets.
pub(super) struct Network<'a> {
    face: &'a Face<'a>,
    knots: Vec<Knot>,
}

impl<'a> Network<'a> {
    pub(super) fn new(face: &'a Face<'a>, from: DVec3, targets: &[DVec3]) -> Self {
        let mut network = Self { face, knots: Vec::new() };
        let corners = face.corners();
        for &place in std::iter::once(&from).chain(targets).chain(&corners) {
            network.knot(place, None);
        }
        let ends = targets.len() + 1;
        let places = ends + corners.len();
        for corner in ends..places {
            for place in 0..corner {
                network.link(place, corner);
            }
        }
        for index in 0..face.rings.len() {
            for end in 0..places {
                network.link_place(end, index);
            }
            for other in 0..index {
                let (ring, beside) = (face.rings[index], face.rings[other]);
                for (p, q) in face.carrier.bitangents(&ring, &beside) {
                    let (p, q) = (network.knot(p, Some(index)), network.knot(q, Some(other)));
                    network.link(p, q);
                }
            }
        }
        for index in 0..face.rings.len() {
            network.link_rim(index);
        }
        network
    }

    fn knot(&mut self, position: DVec3, ring: Option<usize>) -> usize {
        self.knots.push(Knot { position, ring, straight: Vec::new(), rim: None });
        self.knots.len() - 1
    }

    fn link(&mut self, a: usize, b: usize) {
        self.knots[a].straight.push(b);
        self.knots[b].straight.push(a);
    }

    /// Tangents from a start, target or corner to a ring, or the way out to it from within its room.
    fn link_place(&mut self, end: usize, index: usize) {
        let (carrier, ring) = (self.face.carrier, self.face.rings[index]);
        let place = self.knots[end].position;
        let touching = if carrier.from_pole(&ring, place) > ring.radius {
            carrier.tangents(place, &ring)
        } else {
            carrier.onto_ring(place, &ring).into_iter().collect()
        };
        for position in touching {
            let knot = self.knot(position, Some(index));
            self.link(end, knot);
        }
    }

    /// Links the knots of a ring to their neighbours round it.
    fn link_rim(&mut self, index: usize) {
        let mut on_it: Vec<usize> =
            (0..self.knots.len()).filter(|&k| self.knots[k].ring == Some(index)).collect();
        let Some(&first) = on_it.first() else { return };
        let round = self.round(index);
        let origin = self.knots[first].position;
        let angle = |k: usize| round.angle(origin, self.knots[k].position);
        on_it.sort_by(|&a, &b| angle(a).total_cmp(&angle(b)).then(a.cmp(&b)));
        let count = on_it.len();
        for (place, &knot) in on_it.iter().enumerate() {
            self.knots[knot].rim = Some((on_it[(place + count - 1) % count], on_it[(place + 1) % count]));
        }
    }

    fn round(&self, ring: usize) -> Round {
        let Ring { pole, .. } = self.face.rings[ring];
        match self.face.carrier {
            Carrier::Sphere { centre, .. } => Round { centre, axis: pole },
            Carrier::Level { .. } => Round { centre: pole, axis: DVec3::Z },
        }
    }

    /// Dijkstra by length from the start; every way is tested when it is the next to be used.
    pub(super) fn search(&self, targets: usize) -> Vec<Option<Vec<Waypoint>>> {
        let mut settled: Vec<Option<(usize, Waypoint)>> = vec![None; self.knots.len()];
        let mut left = targets;
        let mut open = LeastFirst::default();
        let host = self.face.host;
        let start = Waypoint::straight(host, self.knots[START].position);
        settled[START] = Some((START, start));
        self.push_ways(START, 0.0, &settled, &mut open);
        while let Some(way) = open.pop() {
            if settled[way.knot].is_some() {
                continue;
            }
            let stays = way.to.position.distance_squared(self.knots[way.from].position) < 1e-20;
            if !stays && !self.face.is_clear(self.knots[way.from].position, &way.to) {
                continue;
            }
            settled[way.knot] = Some((way.from, way.to));
            if (1..=targets).contains(&way.knot) {
                left -= 1;
                if left == 0 {
                    break;
                }
                continue; // a shortest way does not bend at a target
            }
            self.push_ways(way.knot, way.length, &settled, &mut open);
        }
        (1..=targets).map(|target| self.way_to(target, &settled)).collect()
    }

    fn push_ways(
        &self,
        knot: usize,
        length: f64,
        settled: &[Option<(usize, Waypoint)>],
        open: &mut LeastFirst<Way>,
    ) {
        let here = &self.knots[knot];
        let host = self.face.host;
        for &next in here.straight.iter().filter(|&&k| settled[k].is_none()) {
            let to = Waypoint::straight(host, self.knots[next].position);
            let length = length + self.face.carrier.distance(here.position, to.position);
            open.push([length, 0.0], [next as u64, knot as u64], Way { length, from: knot, knot: next, to });
        }
        if let (Some(ring), Some((back, forth))) = (here.ring, here.rim) {
            let round = self.round(ring);
            let arm = here.position - round.centre;
            let radius = (arm - round.axis * arm.dot(round.axis)).length();
            for (next, round) in [(back, round.reversed()), (forth, round)] {
                if next != knot && settled[next].is_none() {
                    let position = self.knots[next].position;
                    let length = length + radius * round.angle(here.position, position);
                    let to = Waypoint { host, position, round: Some(round) };
                    let way = Way { length, from: knot, knot: next, to };
                    open.push([length, 0.0], [next as u64, knot as u64], way);
                }
            }
        }
    }

    /// The way to a settled target; pieces of one rim in one direction are joined.
    fn way_to(&self, target: usize, settled: &[Option<(usize, Waypoint)>]) -> Option<Vec<Waypoint>> {
        let mut way: Vec<Waypoint> = Vec::new();
        let mut at = target;
        while at != START {
            let (from, waypoint) = settled[at]?;
            let goes_on = way.last().is_some_and(|next| next.round.is_some() && next.round == waypoint.round);
            let stays = waypoint.position.distance_squared(self.knots[from].position) < 1e-20;
            if !goes_on && !stays {
                way.push(waypoint);
            }
            at = from;
        }
        way.reverse();
        Some(way)
    }
}

/// A way that is still to be tested.
struct Way {
    length: f64,
    from: usize,
    knot: usize,
    to: Waypoint,
}
