//! Shortest trips of one module to all spots it can reach.

use super::Waypoint;
use super::drive::{normal_at, stand_at, yaw_to};
use super::spots::{CLEAR_M, Interest, Spot, spots};
use crate::geometry::{Sweep, least_distance_to_prism, least_inset};
use crate::math::{DVec3, angle_between, perpendicular_part};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem};
use crate::motion::{Move, Stretch};
use crate::statics::PushHint;
use std::cmp::Ordering;
use std::collections::BinaryHeap;

/// One place a trip can end at.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// Where the module stands in the end.
    pub place: Placement,
    /// Time of the trip by the model's speeds, in seconds.
    pub time_s: f64,
    /// The way, without the start.
    pub waypoints: Vec<Waypoint>,
}

/// All trips of one module from where it stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reachable {
    /// Ends of trips, nearest first.
    pub ends: Vec<Reach>,
    /// Spots that were tried.
    pub spots: usize,
    /// Drives and hops refused because the load was not carried.
    pub refused_by_load: usize,
}

/// Trips of `mover` to every rest it can reach while the others stand with the holds they have, each instant sound with
/// utilisations up to `limit`.
///
/// The mover must stand rolling, with nothing on it. Complexity: Dijkstra over the spots of one host at a time, each edge tested
/// against all bodies, each settled spot against the load.
#[must_use]
pub fn reachable(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    interest: &Interest,
    limit: f64,
) -> Reachable {
    let mut start = configuration.clone();
    start.get_mut(mover).hold = Hold::Rolling;
    let spots = spots(problem, &start, mover, interest);
    let mut sweep = Dijkstra::new(problem, start, mover, spots, limit);
    sweep.run();
    sweep.into_reachable()
}

/// A spot on one of its hosts.
struct Node {
    spot: usize,
    at: Waypoint,
    settled: Option<Settled>,
    /// Whether the load is carried here while the mover yaws or slides, that is without its own touches; unknown at first.
    carried_moving: Option<bool>,
}

#[derive(Clone, Copy)]
struct Settled {
    time_s: f64,
    place: Placement,
    parent: Option<usize>,
}

struct Candidate {
    time_s: f64,
    node: usize,
    parent: Option<usize>,
}

struct Dijkstra<'a> {
    problem: &'a Problem,
    start: Configuration,
    mover: ModuleId,
    limit: f64,
    spots: Vec<Spot>,
    nodes: Vec<Node>,
    open: BinaryHeap<Candidate>,
    /// Whether straight drives on a deck carry the load: it does not depend on where on the deck.
    deck_carries: Vec<Option<bool>>,
    refused: usize,
    hint: PushHint,
}

impl<'a> Dijkstra<'a> {
    fn new(
        problem: &'a Problem,
        start: Configuration,
        mover: ModuleId,
        spots: Vec<Spot>,
        limit: f64,
    ) -> Self {
        let mut nodes: Vec<Node> = Vec::new();
        for (index, spot) in spots.iter().enumerate() {
            for &host in &spot.hosts {
                let at = Waypoint { host, position: spot.position };
                nodes.push(Node { spot: index, at, settled: None, carried_moving: None });
            }
        }
        let deck_carries = vec![None; problem.decks.len()];
        Self {
            problem,
            start,
            mover,
            limit,
            spots,
            nodes,
            open: BinaryHeap::new(),
            deck_carries,
            refused: 0,
            hint: PushHint::default(),
        }
    }

    fn run(&mut self) {
        let place = *self.start.get(self.mover);
        let origin = Settled { time_s: 0.0, place, parent: None };
        // The start is a place of its own; if it is also a spot, that spot is settled at no cost.
        let here = self
            .nodes
            .iter()
            .position(|n| n.at.host == place.host && n.at.position.distance(place.position) < 1e-7);
        let first = here.unwrap_or_else(|| {
            let at = Waypoint { host: place.host, position: place.position };
            self.nodes.push(Node { spot: usize::MAX, at, settled: None, carried_moving: None });
            self.nodes.len() - 1
        });
        self.nodes[first].settled = Some(origin);
        self.expand(first);
        if self.nodes[first].spot == usize::MAX {
            self.hop_from_start(first, &place);
        }
        while let Some(candidate) = self.open.pop() {
            let node = &self.nodes[candidate.node];
            if node.settled.is_some() {
                continue;
            }
            if let Some(settled) = self.arrive(&candidate) {
                self.nodes[candidate.node].settled = Some(settled);
                self.expand(candidate.node);
            }
        }
    }

    /// The start may touch other bodies without being one of the spots.
    fn hop_from_start(&mut self, first: usize, place: &Placement) {
        let nearby: Vec<usize> = (0..self.nodes.len())
            .filter(|&n| n != first && self.nodes[n].at.position.distance(place.position) < 1e-9)
            .collect();
        for node in nearby {
            self.push_hop(first, node, place);
        }
    }

    fn expand(&mut self, from: usize) {
        let Some(settled) = self.nodes[from].settled else { return };
        // No shortest drive bends at a rest: it bends at a bypass, at the start, or where a hop came down.
        let came_by_hop = settled.parent.is_none_or(|p| self.nodes[p].at.host != self.nodes[from].at.host);
        let slides = came_by_hop || self.spots.get(self.nodes[from].spot).is_none_or(|s| !s.rest);
        for to in 0..self.nodes.len() {
            let node = &self.nodes[to];
            if to == from || node.settled.is_some() {
                continue;
            }
            if node.spot == self.nodes[from].spot {
                self.push_hop(from, to, &settled.place);
            } else if slides
                && node.at.host == settled.place.host
                && node.carried_moving != Some(false)
                && let Some(time_s) = self.slide_time(&settled.place, node.at.position)
            {
                self.open.push(Candidate { time_s: settled.time_s + time_s, node: to, parent: Some(from) });
            }
        }
    }

    fn push_hop(&mut self, from: usize, to: usize, place: &Placement) {
        let kind = self.problem.kind(self.mover);
        let normal = normal_at(&self.start, &self.nodes[to].at);
        let both_decks = place.host.deck().is_some() && self.nodes[to].at.host.deck().is_some();
        if both_decks || angle_between(place.up(), normal) > kind.hop_limit_rad {
            return;
        }
        let (yaw, _) = yaw_to(place, perpendicular_part(normal, place.up()));
        let time_s = self.nodes[from].settled.map_or(0.0, |s| s.time_s)
            + yaw.abs() / kind.yaw_rate_rolling_radps
            + kind.hop_time_s;
        self.open.push(Candidate { time_s, node: to, parent: Some(from) });
    }

    /// Time to yaw and slide to a position on the same host; `None` for opposite points, where no way is the shortest.
    fn slide_time(&self, place: &Placement, target: DVec3) -> Option<f64> {
        let kind = self.problem.kind(self.mover);
        let (direction, travel) = match place.host {
            Body::Deck(_) => {
                let step = target - place.position;
                (step, step.length())
            }
            Body::Module(host) => {
                let centre = self.start.get(host).position;
                let angle = angle_between(place.position - centre, target - centre);
                if angle > 3.1 {
                    return None;
                }
                let direction = perpendicular_part(target - centre, place.up());
                (direction, angle * self.problem.kind(host).shell_radius_m)
            }
        };
        let (yaw, _) = yaw_to(place, direction);
        Some(yaw.abs() / kind.yaw_rate_rolling_radps + travel / kind.slide_speed_mps)
    }

    /// Whether a great circle or straight line to a target is free of collisions and stays within reach.
    fn is_clear(&self, place: &Placement, target: DVec3) -> bool {
        let problem = self.problem;
        let kind = problem.kind(self.mover);
        let (sweep, host) = match place.host {
            Body::Deck(_) => (Sweep::Shift { step: target - place.position }, None),
            Body::Module(host) => {
                let centre = self.start.get(host).position;
                let (from, to) = (place.position - centre, target - centre);
                let Some(axis) = from.cross(to).try_normalize() else { return false };
                let sweep = Sweep::Turn { point: centre, axis, angle: angle_between(from, to) };
                (sweep, Some(host))
            }
        };
        let path = sweep.path_of(place.position);
        let middle = path.at(0.5 * path.span());
        let reach = path.reach_from_middle();
        for (id, other) in self.start.iter() {
            if id == self.mover || Some(id) == host {
                continue;
            }
            let radii = kind.shell_radius_m + problem.kind(id).shell_radius_m - CLEAR_M;
            if middle.distance(other.position) - reach < radii
                && path.least_distance_to_point(other.position).0 < radii
            {
                return false;
            }
        }
        for deck in problem.deck_ids().filter(|&d| Body::Deck(d) != place.host) {
            let solid = &problem.decks[deck.index()].solid;
            let radius = kind.shell_radius_m - CLEAR_M;
            if least_distance_to_prism(&path, solid, radius).is_some_and(|(d, _)| d < radius) {
                return false;
            }
        }
        match place.host {
            Body::Deck(deck) => {
                least_inset(&path, &problem.decks[deck.index()].solid).0 >= kind.foot_radius_m - CLEAR_M
            }
            // Both ends are within reach; a great circle between them can still leave a reach over 90°.
            Body::Module(host) => {
                let (centre, up) = (self.start.get(host).position, self.start.get(host).up());
                let cos = problem.kind(host).shell_reach_rad.cos();
                let nadir = centre - up * kind.standing_distance(problem.kind(host));
                let lowest = path.at(path.least_distance_to_point(nadir).1) - centre;
                lowest.dot(up) >= lowest.length() * cos - 1e-9
            }
        }
    }

    /// Tests gaps and load on the way to a node; the placement there if all is well.
    fn arrive(&mut self, candidate: &Candidate) -> Option<Settled> {
        let from = candidate.parent?;
        let parent = self.nodes[from].settled?;
        let target = self.nodes[candidate.node].at;
        let slides = target.host == parent.place.host;
        if slides && !self.is_clear(&parent.place, target.position) {
            return None;
        }
        let mut now = self.start.clone();
        *now.get_mut(self.mover) = parent.place;
        let moves = super::compile(self.problem, &now, self.mover, &[target]).ok()?;
        let (action, after) = moves.last()?;
        let turned = moves.len().checked_sub(2).map(|yaw| &moves[yaw].1);
        let carried = if !slides {
            (turned.is_none() || self.carried_moving(from))
                && self.carries(turned.unwrap_or(&now), action, after)
        } else if let Body::Deck(deck) = target.host {
            self.deck_drive_carries(deck.index(), &now)
        } else {
            self.carried_moving(candidate.node) && self.carries(turned.unwrap_or(&now), action, after)
        };
        if !carried {
            self.refused += 1;
            return None;
        }
        let mut place = *after.get(self.mover);
        place.position = target.position;
        Some(Settled { time_s: candidate.time_s, place, parent: candidate.parent })
    }

    fn carries(&mut self, before: &Configuration, action: &Move, after: &Configuration) -> bool {
        Stretch::of_move(self.problem, before, self.mover, action, after)
            .carries_with(self.limit, &mut self.hint)
    }

    /// Whether the load is carried at a node while the mover slides or yaws there: no touch of its own counts. A module with nothing on it
    /// needs no torque to yaw, as its mass is centred over its foot.
    fn carried_moving(&mut self, node: usize) -> bool {
        if let Some(known) = self.nodes[node].carried_moving {
            return known;
        }
        let mut there = self.start.clone();
        *there.get_mut(self.mover) = stand_at(&self.start, self.mover, &self.nodes[node].at);
        let nothing = Move::Slide { travel_m: 0.0, curvature_per_m: 0.0 };
        let carried = Stretch::of_move(self.problem, &there, self.mover, &nothing, &there)
            .carries_with(self.limit, &mut self.hint);
        self.nodes[node].carried_moving = Some(carried);
        carried
    }

    /// On a level deck the load of a straight drive does not depend on where it is.
    fn deck_drive_carries(&mut self, deck: usize, now: &Configuration) -> bool {
        if let Some(known) = self.deck_carries[deck] {
            return known;
        }
        let nothing = Move::Slide { travel_m: 0.0, curvature_per_m: 0.0 };
        let carries = Stretch::of_move(self.problem, now, self.mover, &nothing, now)
            .carries_with(self.limit, &mut self.hint);
        self.deck_carries[deck] = Some(carries);
        carries
    }

    fn into_reachable(self) -> Reachable {
        let mut ends: Vec<Reach> = self
            .nodes
            .iter()
            .filter(|node| self.spots.get(node.spot).is_some_and(|s| s.rest))
            .filter_map(|node| {
                let settled = node.settled.filter(|s| s.parent.is_some())?;
                let mut waypoints = vec![node.at];
                let mut parent = settled.parent;
                while let Some(index) = parent {
                    let before = &self.nodes[index];
                    parent = before.settled.and_then(|s| s.parent);
                    if parent.is_some() {
                        waypoints.push(before.at);
                    }
                }
                waypoints.reverse();
                Some(Reach { place: settled.place, time_s: settled.time_s, waypoints })
            })
            .collect();
        ends.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        Reachable { ends, spots: self.spots.len(), refused_by_load: self.refused }
    }
}

impl PartialEq for Candidate {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Candidate {}

impl PartialOrd for Candidate {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Candidate {
    /// The greatest is the earliest, ties by node and parent.
    fn cmp(&self, other: &Self) -> Ordering {
        let order = other.time_s.total_cmp(&self.time_s);
        order.then(other.node.cmp(&self.node)).then(other.parent.cmp(&self.parent))
    }
}
