//! One search of the tangent graph of a face: straight paths that touch rims, and pieces of rims between them.

use super::tangents::{Along, NO_WAY_M2, OnRim, Tangents};
use super::{Face, Waypoint};
use crate::math::{DVec3, LeastFirst};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Places whose squared distance is below this are equal, in m²: they differ by rounding.
const SAME_M2: f64 = 1e-18;

/// The graph for one start and several targets. Its knots are the start, the targets, corners at the edges of decks, the places where straight paths
/// touch two rims, and those where tangents of the start, the targets and the corners touch one.
pub(super) struct Network<'a, 'f> {
    face: &'a Face<'f>,
    tangents: &'a Tangents,
    heading: Option<DVec3>,
    /// Whether the search is guided to its only target.
    guides: bool,
    /// Start, targets and corners; they are the first knots.
    places: Vec<DVec3>,
    targets: usize,
    /// The other knots: those that all searches share, then ends of tangents of `places`.
    rims: Vec<OnRim>,
    /// For each end of a tangent, its place.
    place_of: Vec<usize>,
    /// The tangents of each place.
    of_place: Vec<std::ops::Range<usize>>,
    /// Knots of all stretches; those of one stretch are contiguous, by offset.
    along: Vec<usize>,
    /// Where the knots of each stretch begin in that list; one more entry than there are stretches.
    first_along: Vec<usize>,
    /// The position in that list of each knot on a rim.
    rank: Vec<usize>,
}

/// The knot where all drives begin; targets follow.
const START: usize = 0;

impl<'a, 'f> Network<'a, 'f> {
    pub(super) fn new(
        face: &'a Face<'f>,
        tangents: &'a Tangents,
        from: DVec3,
        heading: Option<DVec3>,
        targets: &[DVec3],
    ) -> Self {
        let places: Vec<DVec3> =
            std::iter::once(&from).chain(targets).chain(&tangents.corners).copied().collect();
        let mut rims = Vec::with_capacity(tangents.knots.len() + 4 * places.len());
        rims.extend_from_slice(&tangents.knots);
        let (mut place_of, mut of_place) =
            (Vec::with_capacity(4 * places.len()), Vec::with_capacity(places.len()));
        for (index, &place) in places.iter().enumerate() {
            let first = place_of.len();
            let own = tangents.of_place(face, place);
            rims.extend_from_slice(&own);
            place_of.resize(first + own.len(), index);
            of_place.push(first..place_of.len());
        }
        let Along { knots: along, first: first_along } = by_stretch(&rims, &tangents.along);
        let mut rank = vec![0; rims.len()];
        along.iter().enumerate().for_each(|(place, &index)| rank[index] = place);
        let targets = targets.len();
        let guides = targets == 1 && face.is_of_terrain();
        Self {
            face,
            tangents,
            heading,
            guides,
            places,
            targets,
            rims,
            place_of,
            of_place,
            along,
            first_along,
            rank,
        }
    }

    fn position(&self, knot: usize) -> DVec3 {
        match knot.checked_sub(self.places.len()) {
            None => self.places[knot],
            Some(index) => self.rims[index].position,
        }
    }

    /// Dijkstra's algorithm by length from the start; an edge is tested when it is the next to be used. For each target, a path at least as long as
    /// its worth counts as none.
    pub(super) fn search(&self, worth_m: &[f64]) -> Vec<Option<Vec<Waypoint>>> {
        let count = self.places.len() + self.rims.len();
        let mut reached = Reached { settled: vec![None; count], sure_m: vec![f64::INFINITY; count] };
        let mut most_m = f64::INFINITY;
        if !self.starts_on_a_rim() {
            reached.sure_m[1..=self.targets].copy_from_slice(worth_m);
            most_m = worth_m.iter().copied().fold(0.0, f64::max);
        }
        let mut left = self.targets;
        let mut open = LeastFirst::with_capacity(2 * count);
        reached.settled[START] = Some(Piece { from: 0, knot: 0, by: By::Free });
        self.push_ways(START, 0.0, &mut reached, &mut open);
        while let Some(([least_m, length], way)) = open.pop_ranked() {
            let [_, knot] = way.ends();
            if least_m >= most_m {
                break;
            }
            if reached.settled[knot].is_some() || !self.is_free(&way) {
                continue;
            }
            reached.settled[knot] = Some(way);
            if (1..=self.targets).contains(&knot) {
                left -= 1;
                if left == 0 {
                    break;
                }
                continue; // a shortest way does not bend at a target
            }
            self.push_ways(knot, length, &mut reached, &mut open);
        }
        (1..=self.targets).map(|target| self.way_to(target, &reached.settled)).collect()
    }

    /// Whether the start lies on a rim: then a tangent to the start itself would count a yaw that is not made.
    fn starts_on_a_rim(&self) -> bool {
        let first_own = self.tangents.knots.len();
        let mut own = self.rims[first_own..][self.of_place[START].clone()].iter();
        own.any(|on| on.position.distance_squared(self.places[START]) < SAME_M2)
    }

    fn is_free(&self, way: &Piece) -> bool {
        let [from, _] = way.ends();
        match way.by {
            By::Free => true,
            By::Link(link) => self.tangents.is_clear(self.face, link as usize),
            By::Straight => self.face.is_clear(self.position(from), &self.waypoint(way)),
            By::Rim { .. } => {
                let on = &self.rims[from - self.places.len()];
                self.tangents.stretches[on.stretch].clears_solids
                    || self.face.clearance.piece_clears_solids(on.position, &self.waypoint(way))
            }
        }
    }

    /// The waypoint at the end of an edge.
    fn waypoint(&self, way: &Piece) -> Waypoint {
        let [from, knot] = way.ends();
        let round = match way.by {
            By::Rim { forward } => {
                let round = self.tangents.stretches[self.rims[from - self.places.len()].stretch].round;
                Some(if forward { round } else { round.reversed() })
            }
            By::Free | By::Link(_) | By::Straight => None,
        };
        Waypoint { host: self.face.host, position: self.position(knot), round }
    }

    fn push_ways(&self, knot: usize, length: f64, reached: &mut Reached, open: &mut LeastFirst<Piece>) {
        let here = self.position(knot);
        let mut push = |next: usize, way_m: f64, by: By| {
            let length = length + way_m;
            if reached.settled[next].is_some() || length >= reached.sure_m[next] {
                return;
            }
            if matches!(by, By::Free) {
                reached.sure_m[next] = length;
            }
            open.push(
                [length + self.least_on_m(next), length],
                [next as u64, knot as u64],
                Piece { from: knot as u32, knot: next as u32, by },
            );
        };
        let straight_m = |next: usize| {
            let position = self.position(next);
            let way_m = self.face.carrier.distance(here, position);
            let heading = self.heading.filter(|_| knot == START && way_m > 0.0);
            way_m + heading.map_or(0.0, |heading| self.face.yaw_to_m(here, heading, position))
        };
        let first_own = self.places.len() + self.tangents.knots.len();
        let Some(index) = knot.checked_sub(self.places.len()) else {
            for own in self.of_place[knot].clone() {
                let next = first_own + own;
                push(next, straight_m(next) + self.kink_m(next), By::Free);
            }
            let corners = self.targets + 1..self.places.len();
            let is_corner = corners.contains(&knot);
            let others = if is_corner { START..self.places.len() } else { corners };
            for other in others.filter(|other| *other != knot) {
                push(other, straight_m(other), By::Straight);
            }
            return;
        };
        if let Some((link, other)) = self.tangents.link_of(index) {
            push(self.places.len() + other, self.tangents.links[link].length, By::Link(link as u32));
        } else {
            let place = self.place_of[knot - first_own];
            push(place, straight_m(place) + self.kink_m(knot), By::Free);
        }
        let on = &self.rims[index];
        let stretch = &self.tangents.stretches[on.stretch];
        let [first, beyond] = [0, 1].map(|next| self.first_along[on.stretch + next]);
        let (last, rank) = (beyond - 1, self.rank[index]);
        let back = if rank > first { Some(rank - 1) } else { stretch.is_ring.then_some(last) };
        let forth = if rank < last { Some(rank + 1) } else { stretch.is_ring.then_some(first) };
        for (next, forward) in [(back, false), (forth, true)] {
            let Some(next) = next.map(|rank| self.along[rank]).filter(|next| *next != index) else {
                continue;
            };
            let angle = if forward { 1.0 } else { -1.0 } * (self.rims[next].offset - on.offset);
            let angle = if angle < 0.0 { angle + TAU } else { angle };
            push(self.places.len() + next, stretch.radius * angle, By::Rim { forward });
        }
    }

    /// Least length from a knot to the target, where there is only one on a plane of terrain.
    fn least_on_m(&self, knot: usize) -> f64 {
        if self.guides { self.position(knot).distance(self.places[1]) } else { 0.0 }
    }

    /// Length that stands for the yaw where a straight path meets a rim at a right angle; 0 for a mover without a heading, whose paths are compared
    /// by length alone.
    fn kink_m(&self, knot: usize) -> f64 {
        let is_square = self.rims[knot - self.places.len()].is_square;
        if is_square && self.heading.is_some() { self.face.yaw_m(FRAC_PI_2) } else { 0.0 }
    }

    /// The path to a settled target; consecutive pieces of one rim in one direction are joined.
    fn way_to(&self, target: usize, settled: &[Option<Piece>]) -> Option<Vec<Waypoint>> {
        let mut legs: Vec<Waypoint> = Vec::new();
        let mut at = target;
        while at != START {
            let way = settled[at].as_ref()?;
            let waypoint = self.waypoint(way);
            let goes_on =
                legs.last().is_some_and(|next| next.round.is_some() && next.round == waypoint.round);
            let [from, _] = way.ends();
            let stays = waypoint.position.distance_squared(self.position(from)) < NO_WAY_M2;
            if !goes_on && !stays {
                legs.push(waypoint);
            }
            at = from;
        }
        legs.reverse();
        Some(legs)
    }
}

/// Knots on rims by stretch and offset, and where those of each stretch begin: those that all searches share, which are in order, and others.
fn by_stretch(rims: &[OnRim], shared: &Along) -> Along {
    let later = |a: usize, b: usize| rims[a].offset.total_cmp(&rims[b].offset).is_gt();
    let mut own: Vec<usize> = (shared.knots.len()..rims.len()).collect();
    own.sort_unstable_by(|&a, &b| {
        let by_offset = || rims[a].offset.total_cmp(&rims[b].offset).then(a.cmp(&b));
        rims[a].stretch.cmp(&rims[b].stretch).then_with(by_offset)
    });
    let mut own = own.into_iter().peekable();
    let mut all =
        Along { knots: Vec::with_capacity(rims.len()), first: Vec::with_capacity(shared.first.len()) };
    for (stretch, bounds) in shared.first.windows(2).enumerate() {
        all.first.push(all.knots.len());
        for &known in &shared.knots[bounds[0]..bounds[1]] {
            let is_before = |knot: &usize| rims[*knot].stretch == stretch && later(known, *knot);
            while let Some(knot) = own.next_if(is_before) {
                all.knots.push(knot);
            }
            all.knots.push(known);
        }
        while let Some(knot) = own.next_if(|knot| rims[*knot].stretch == stretch) {
            all.knots.push(knot);
        }
    }
    all.first.push(all.knots.len());
    all
}

/// The state of a search.
struct Reached {
    /// The last edge of the shortest path to each knot.
    settled: Vec<Option<Piece>>,
    /// Length of the shortest path known whose last edge is certainly free, or the worth of a target.
    sure_m: Vec<f64>,
}

/// An edge from knot to knot that is still to be tested.
#[derive(Clone, Copy)]
struct Piece {
    from: u32,
    knot: u32,
    by: By,
}

impl Piece {
    const fn ends(&self) -> [usize; 2] {
        [self.from as usize, self.knot as usize]
    }
}

/// The kind of an edge, which determines what has to be tested.
#[derive(Clone, Copy)]
enum By {
    /// Straight and known to be free.
    Free,
    /// Straight between two rims, tested once for all searches.
    Link(u32),
    /// A piece of a rim, which may still meet decks.
    Rim { forward: bool },
    /// Straight.
    Straight,
}
