//! One search of the tangent graph of a face: straight ways that touch rims, and pieces of rims between them.

use super::tangents::{OnRim, Tangents};
use super::{Face, Waypoint};
use crate::math::{DVec3, LeastFirst};
use std::f64::consts::{FRAC_PI_2, TAU};

/// The graph for one start and several targets. Its knots are the start, the targets, corners at the edges of decks, the places where
/// straight ways touch two rims, and those where tangents of the start, the targets and the corners touch one.
pub(super) struct Network<'a> {
    face: &'a Face<'a>,
    tangents: &'a Tangents,
    heading: Option<DVec3>,
    /// Start, targets and corners.
    places: Vec<DVec3>,
    targets: usize,
    /// Ends of the places' own tangents, and the place of each.
    touching: Vec<(OnRim, usize)>,
    /// Own tangents of each place.
    of_place: Vec<std::ops::Range<usize>>,
    /// Knots of each stretch by offset.
    along: Vec<Vec<usize>>,
    /// Where in its stretch's list each knot is.
    rank: Vec<usize>,
}

/// The knot where all drives begin; targets follow.
const START: usize = 0;

impl<'a> Network<'a> {
    pub(super) fn new(
        face: &'a Face<'a>,
        tangents: &'a Tangents,
        from: DVec3,
        heading: Option<DVec3>,
        targets: &[DVec3],
    ) -> Self {
        let places: Vec<DVec3> =
            std::iter::once(&from).chain(targets).chain(&tangents.corners).copied().collect();
        let mut touching = Vec::new();
        let mut of_place = Vec::with_capacity(places.len());
        for (index, &place) in places.iter().enumerate() {
            let first = touching.len();
            touching.extend(tangents.of_place(face, place).iter().map(|on| (*on, index)));
            of_place.push(first..touching.len());
        }
        let first_touching = places.len() + tangents.knots.len();
        let mut along: Vec<Vec<usize>> = tangents
            .along
            .iter()
            .map(|knots| knots.iter().map(|knot| knot + places.len()).collect())
            .collect();
        for (index, (on, _)) in touching.iter().enumerate() {
            along[on.stretch].push(first_touching + index);
        }
        let rank = vec![0; first_touching + touching.len()];
        let mut network =
            Self { face, tangents, heading, places, targets: targets.len(), touching, of_place, along, rank };
        let mut along = std::mem::take(&mut network.along);
        for knots in &mut along {
            knots.sort_by(|&a, &b| network.offset(a).total_cmp(&network.offset(b)).then(a.cmp(&b)));
            for (rank, &knot) in knots.iter().enumerate() {
                network.rank[knot] = rank;
            }
        }
        network.along = along;
        network
    }

    /// The place on a rim that a knot is; `None` for start, targets and corners.
    fn on_rim(&self, knot: usize) -> Option<&OnRim> {
        let index = knot.checked_sub(self.places.len())?;
        let known = &self.tangents.knots;
        known.get(index).or_else(|| self.touching.get(index - known.len()).map(|(on, _)| on))
    }

    fn offset(&self, knot: usize) -> f64 {
        self.on_rim(knot).map_or(0.0, |on| on.offset)
    }

    fn position(&self, knot: usize) -> DVec3 {
        self.places.get(knot).copied().or_else(|| self.on_rim(knot).map(|on| on.position)).unwrap_or_default()
    }

    /// Dijkstra by length from the start; what has not been tested is tested when it is the next to be used.
    pub(super) fn search(&self) -> Vec<Option<Vec<Waypoint>>> {
        let mut settled: Vec<Option<(usize, Waypoint)>> = vec![None; self.rank.len()];
        let mut left = self.targets;
        let mut open = LeastFirst::default();
        let start = Waypoint::straight(self.face.host, self.places[START]);
        settled[START] = Some((START, start));
        self.push_ways(START, 0.0, &settled, &mut open);
        while let Some(way) = open.pop() {
            if settled[way.knot].is_some() || !self.is_free(&way) {
                continue;
            }
            settled[way.knot] = Some((way.from, way.to));
            if (1..=self.targets).contains(&way.knot) {
                left -= 1;
                if left == 0 {
                    break;
                }
                continue; // a shortest way does not bend at a target
            }
            self.push_ways(way.knot, way.length, &settled, &mut open);
        }
        (1..=self.targets).map(|target| self.way_to(target, &settled)).collect()
    }

    fn is_free(&self, way: &Way) -> bool {
        match way.test {
            Test::None => true,
            Test::Link(link) => self.tangents.is_clear(self.face, &self.tangents.links[link]),
            Test::Piece => self.face.roominess.piece_clears_solids(self.position(way.from), &way.to),
            Test::Straight => self.face.is_clear(self.position(way.from), &way.to),
        }
    }

    fn push_ways(
        &self,
        knot: usize,
        length: f64,
        settled: &[Option<(usize, Waypoint)>],
        open: &mut LeastFirst<Way>,
    ) {
        let (host, here) = (self.face.host, self.position(knot));
        let mut push = |next: usize, way_m: f64, to: Waypoint, test: Test| {
            if settled[next].is_none() {
                let way = Way { length: length + way_m, from: knot, knot: next, to, test };
                open.push([way.length, 0.0], [next as u64, knot as u64], way);
            }
        };
        let straight = |next: usize| {
            let position = self.position(next);
            let way_m = self.face.carrier.distance(here, position);
            let heading = self.heading.filter(|_| knot == START && way_m > 0.0);
            let yaw_m = heading.map_or(0.0, |heading| self.face.yaw_to_m(here, heading, position));
            (way_m + yaw_m, Waypoint::straight(host, position))
        };
        let first_touching = self.places.len() + self.tangents.knots.len();
        if knot < self.places.len() {
            for index in self.of_place[knot].clone() {
                let (way_m, to) = straight(first_touching + index);
                push(first_touching + index, way_m + self.kink_m(&self.touching[index].0), to, Test::None);
            }
            let corners = self.targets + 1..self.places.len();
            let is_corner = corners.contains(&knot);
            let others = if is_corner { START..self.places.len() } else { corners };
            for other in others.filter(|other| *other != knot) {
                let (way_m, to) = straight(other);
                push(other, way_m, to, Test::Straight);
            }
            return;
        }
        let index = knot - self.places.len();
        if let Some(links) = self.tangents.links_of.get(index) {
            for &link in links {
                let [a, b] = self.tangents.links[link].ends;
                let next = self.places.len() + if a == index { b } else { a };
                let to = Waypoint::straight(host, self.position(next));
                push(next, self.tangents.links[link].length, to, Test::Link(link));
            }
        } else if let Some((on, place)) = self.touching.get(index - self.tangents.knots.len()) {
            let (way_m, to) = straight(*place);
            push(*place, way_m + self.kink_m(on), to, Test::None);
        }
        let Some(on) = self.on_rim(knot) else { return };
        let stretch = &self.tangents.stretches[on.stretch];
        let (knots, rank) = (&self.along[on.stretch], self.rank[knot]);
        let last = knots.len() - 1;
        let back = if rank > 0 { Some(rank - 1) } else { stretch.is_ring.then_some(last) };
        let forth = if rank < last { Some(rank + 1) } else { stretch.is_ring.then_some(0) };
        for (next, forward) in [(back, false), (forth, true)] {
            let Some(next) = next.map(|rank| knots[rank]).filter(|next| *next != knot) else { continue };
            let angle = if forward { 1.0 } else { -1.0 } * (self.offset(next) - on.offset);
            let angle = if angle < 0.0 { angle + TAU } else { angle };
            let round = if forward { stretch.round } else { stretch.round.reversed() };
            let to = Waypoint { host, position: self.position(next), round: Some(round) };
            push(next, stretch.radius * angle, to, Test::Piece);
        }
    }

    /// What a yaw where a straight way meets a rim squarely counts; ways are compared by length alone where nobody heads anywhere.
    fn kink_m(&self, on: &OnRim) -> f64 {
        if on.is_square && self.heading.is_some() { self.face.yaw_m(FRAC_PI_2) } else { 0.0 }
    }

    /// The way to a settled target; pieces of one rim in one direction are joined.
    fn way_to(&self, target: usize, settled: &[Option<(usize, Waypoint)>]) -> Option<Vec<Waypoint>> {
        let mut way: Vec<Waypoint> = Vec::new();
        let mut at = target;
        while at != START {
            let (from, waypoint) = settled[at]?;
            let goes_on = way.last().is_some_and(|next| next.round.is_some() && next.round == waypoint.round);
            let stays = waypoint.position.distance_squared(self.position(from)) < 1e-20;
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
    test: Test,
}

/// What is not known of a way.
#[derive(Clone, Copy)]
enum Test {
    /// Nothing: it is free.
    None,
    /// Whether a link is free.
    Link(usize),
    /// Whether a piece of a rim is free of decks.
    Piece,
    /// All.
    Straight,
}
