//! Edges over which a foot crosses from one ground to another (section 6 of the model).

use super::{Ground, GroundId, Kind, ModuleId, Problem};
use crate::geometry::{JOINED_M, Outline};
use crate::math::{DVec2, angle_between, tolerance};
use petgraph::unionfind::UnionFind;

/// How far the outline of the other ground may be off an edge, and heights beyond the step limit, in metres.
const OFF_M: f64 = 1e-3;
/// Pieces of edges shorter than this are nothing, in metres.
const SHORTEST_M: f64 = 1e-9;

/// A straight piece of the outline of one of two grounds, along which the other's outline runs too, or holds it inside. Seen from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Brink {
    /// The grounds: the one whose outline it is a piece of, and the other.
    pub grounds: [GroundId; 2],
    /// Where it begins, in metres.
    pub from: DVec2,
    /// Where it ends; the first ground is on the left of the way there.
    pub to: DVec2,
}

impl Brink {
    /// Its length, in metres.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// Unit direction square to it, from the first ground to the other.
    #[must_use]
    pub fn out(&self) -> DVec2 {
        -(self.to - self.from).normalize().perp()
    }

    /// The points at which a kind's foot may cross, as the ends of a piece of it; `None` where there are none.
    ///
    /// The foot needs its radius to either side. The heights of the two tops differ by at most the kind's step limit there, and 1 mm.
    #[must_use]
    pub fn crossed_by(&self, problem: &Problem, kind: &Kind) -> Option<[DVec2; 2]> {
        let [a, b] = self.grounds.map(|ground| problem.ground(ground).plane);
        if angle_between(a.normal, b.normal) > kind.crease_limit_rad + tolerance::ANGLE_RAD {
            return None;
        }
        let (length, most) = (self.length_m(), kind.step_limit_m + OFF_M);
        if length < 2.0 * kind.foot_radius_m - tolerance::LENGTH_M {
            return None;
        }
        let margin = (kind.foot_radius_m / length).min(0.5);
        let (mut low, mut high) = (margin, 1.0 - margin);
        // The difference of the heights is linear along the piece.
        let step = |share: f64| {
            let at = self.from.lerp(self.to, share);
            b.height_at(at) - a.height_at(at)
        };
        let (first, rate) = (step(0.0), step(1.0) - step(0.0));
        for sign in [1.0, -1.0] {
            // sign·(first + rate·share) ≤ most.
            let (first, rate) = (sign * first, sign * rate);
            if rate.abs() < f64::MIN_POSITIVE {
                if first > most + tolerance::LENGTH_M {
                    return None;
                }
            } else if rate > 0.0 {
                high = high.min((most - first) / rate);
            } else {
                low = low.max((most - first) / rate);
            }
        }
        (low <= high).then(|| [low, high].map(|share| self.from.lerp(self.to, share)))
    }
}

impl Ground {
    /// Its outline seen from above.
    #[must_use]
    pub fn from_above(&self) -> Outline {
        let seen = |ring: &Vec<DVec2>| ring.iter().map(|&at| self.plane.point(at).truncate()).collect();
        Outline { rings: self.outline.rings.iter().map(seen).collect() }
    }
}

impl Ground {
    /// Whether a disc may fit inside its outline: it does not where the outline lies in a strip narrower than that.
    pub(crate) fn may_hold(&self, radius_m: f64) -> bool {
        self.edges().all(|(a, b)| {
            let across = (b - a).normalize_or_zero().perp();
            let [least, most] =
                self.outline.corners().fold([f64::INFINITY, f64::NEG_INFINITY], |[least, most], p| {
                    let at = across.dot(p);
                    [least.min(at), most.max(at)]
                });
            most - least >= 2.0 * (radius_m - tolerance::LENGTH_M)
        })
    }
}

impl Problem {
    /// All pieces of outlines over which feet could cross between grounds, whatever the heights, in the order of the grounds.
    pub fn brinks(&self) -> impl Iterator<Item = &Brink> {
        self.grounds.iter().flat_map(|ground| &ground.brinks)
    }

    /// Finds them. Complexity: for each pair of grounds that are near each other, the product of their corners.
    fn find_brinks(&self) -> Vec<Brink> {
        let outlines: Vec<Outline> = self.grounds.iter().map(Ground::from_above).collect();
        let bounds: Vec<[DVec2; 2]> = outlines.iter().map(Outline::extent).collect();
        let mut found = Vec::new();
        for first in self.ground_ids() {
            for other in self.ground_ids().filter(|other| *other != first) {
                if are_near(bounds[first.index()], bounds[other.index()]) {
                    let beside = (&outlines[other.index()], bounds[other.index()]);
                    found.extend(brinks_of(&outlines[first.index()], beside, [first, other]));
                }
            }
        }
        found
    }

    /// Those between two grounds.
    pub fn brinks_between(&self, [a, b]: [GroundId; 2]) -> impl Iterator<Item = &Brink> {
        let of = |own, other| self.ground(own).brinks.iter().filter(move |brink| brink.grounds[1] == other);
        of(a, b).chain(of(b, a))
    }

    /// Finds the edges over which feet could cross, and gives grounds between which some module of the crew might cross the same region.
    pub fn assign_regions(&mut self) {
        let mut joined: UnionFind<usize> = UnionFind::new(self.grounds.len());
        if self.grounds.len() > 1 {
            let mut kinds: Vec<&Kind> = Vec::new();
            for module in (0..self.modules.len()).map(ModuleId::at) {
                let kind = self.kind(module);
                if !kinds.iter().any(|known| std::ptr::eq(*known, kind)) {
                    kinds.push(kind);
                }
            }
            let brinks = self.find_brinks();
            // For each kind the grounds on which its foot may have room.
            let rooms: Vec<Vec<bool>> = kinds
                .iter()
                .map(|kind| self.grounds.iter().map(|ground| ground.may_hold(kind.foot_radius_m)).collect())
                .collect();
            for brink in &brinks {
                let crosses = |(kind, has_room): (&&Kind, &Vec<bool>)| {
                    brink.grounds.iter().all(|ground| has_room[ground.index()])
                        && brink.crossed_by(self, kind).is_some()
                };
                if kinds.iter().zip(&rooms).any(crosses) {
                    joined.union(brink.grounds[0].index(), brink.grounds[1].index());
                }
            }
            for (id, ground) in self.grounds.iter_mut().enumerate() {
                let own = |brink: &&Brink| brink.grounds[0].index() == id;
                ground.brinks = brinks.iter().filter(own).copied().collect();
            }
        }
        for (ground, region) in self.grounds.iter_mut().zip(joined.into_labeling()) {
            ground.region = region as u16;
        }
    }
}

/// The pieces of the first outline along which the second runs too, or holds it inside; those in line are one.
fn brinks_of(own: &Outline, (other, around): (&Outline, [DVec2; 2]), grounds: [GroundId; 2]) -> Vec<Brink> {
    let mut found: Vec<Brink> = Vec::new();
    for (from, to) in own.edges().filter(|&(a, b)| are_near([a.min(b), a.max(b)], around)) {
        let pieces = along(from, to, other).into_iter();
        found.extend(pieces.map(|(from, to)| Brink { grounds, from, to }));
    }
    let mut index = 0;
    while index < found.len() {
        let here = found[index];
        let goes_on = |next: &Brink| {
            let (first, second) = (here.to - here.from, next.to - next.from);
            let bend = (next.to - here.from).normalize_or_zero().perp_dot(first).abs();
            next.from.distance(here.to) <= JOINED_M && bend <= JOINED_M && first.dot(second) > 0.0
        };
        if let Some(next) = (0..found.len()).find(|&next| next != index && goes_on(&found[next])) {
            found[index].to = found[next].to;
            found.remove(next);
            index = 0;
        } else {
            index += 1;
        }
    }
    found
}

/// Whether two rectangles, by their least and greatest coordinates, meet or are beside each other.
fn are_near([a, b]: [DVec2; 2], [c, d]: [DVec2; 2]) -> bool {
    a.cmple(d + OFF_M).all() && c.cmple(b + OFF_M).all()
}

/// The pieces of an edge that lie inside an outline, or beside it within 1 mm.
fn along(from: DVec2, to: DVec2, outline: &Outline) -> Vec<(DVec2, DVec2)> {
    let length = from.distance(to);
    let direction = (to - from) / length;
    let mut cuts = vec![0.0, length];
    for (a, b) in outline.edges() {
        let side = (b - a).normalize().perp() * OFF_M;
        for (a, b) in [(a, b), (a - side, b - side)] {
            let rate = direction.perp_dot(b - a);
            if rate != 0.0 {
                cuts.push((a - from).perp_dot(b - a) / rate);
            }
        }
        // Around a corner, and straight across from it.
        let (foot, off) = ((a - from).dot(direction), direction.perp_dot(a - from));
        cuts.push(foot);
        let half = (OFF_M * OFF_M - off * off).max(0.0).sqrt();
        cuts.extend([foot - half, foot + half]);
    }
    cuts.retain(|t| (0.0..=length).contains(t));
    cuts.sort_by(f64::total_cmp);
    let mut pieces: Vec<(f64, f64)> = Vec::new();
    for pair in cuts.windows(2).filter(|pair| pair[1] - pair[0] > SHORTEST_M) {
        let middle = from + direction * (0.5 * (pair[0] + pair[1]));
        if outline.inset(middle) < -OFF_M - JOINED_M {
            continue;
        }
        match pieces.last_mut() {
            Some(last) if pair[0] - last.1 <= SHORTEST_M => last.1 = pair[1],
            _ => pieces.push((pair[0], pair[1])),
        }
    }
    pieces.into_iter().map(|(a, b)| (from + direction * a, from + direction * b)).collect()
}
