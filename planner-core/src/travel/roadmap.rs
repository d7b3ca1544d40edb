//! Shortest trips of one module to all rests it can reach.

use super::drive::compile_alone;
use super::drive::{normal_at, stand_at, yaw_to};
use super::spots::{Interest, Spot, spots};
use super::{Face, Waypoint};
use crate::math::{DVec3, LeastFirst, angle_between, perpendicular_part, tolerance};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem};
use crate::motion::{Move, Stretch, Underway, duration_s};
use crate::statics::PushHint;
use indexmap::IndexMap;

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
/// The mover must stand with nothing on it; it is taken as rolling. Complexity: Dijkstra over the spots; one search for shortest drives
/// for each host and each place where a hop comes down on it, one load certificate for each drive that is the next to be used.
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
    let mut sweep = Dijkstra::new(problem, &start, mover, spots, limit);
    sweep.run();
    sweep.into_reachable()
}

/// The quickest trip of `mover` to one place on one host, if there is one: what [`reachable`] with this interest has for it, found sooner,
/// because the search ends there.
#[must_use]
pub fn quickest_to(
    problem: &Problem,
    configuration: &Configuration,
    mover: ModuleId,
    (host, position): (Body, DVec3),
    limit: f64,
) -> Option<Reach> {
    let mut start = configuration.clone();
    start.get_mut(mover).hold = Hold::Rolling;
    let spots = spots(problem, &start, mover, &Interest { places: vec![position], beacons: Vec::new() });
    let mut sweep = Dijkstra::new(problem, &start, mover, spots, limit);
    let is_there = |at: &Waypoint| at.host == host && at.position.distance(position) < 1e-8;
    sweep.only = Some(sweep.nodes.iter().position(|node| is_there(&node.at))?);
    sweep.run();
    sweep
        .into_reachable()
        .ends
        .into_iter()
        .find(|end| end.place.host == host && end.place.position.distance(position) < 1e-8)
}

/// A spot on one of its hosts.
struct Node {
    /// Index of the spot; none for a start that is no spot.
    spot: Option<usize>,
    at: Waypoint,
    settled: Option<Settled>,
    /// Whether the load is carried here while the mover yaws or slides, that is without its own touches; unknown at first.
    carried_moving: Option<bool>,
    /// Whether a drive here was refused by the load, or none was found past what stands in the way.
    drive_refused: bool,
    /// Whether detours past here have been tried.
    was_via: bool,
}

impl Node {
    const fn new(spot: Option<usize>, at: Waypoint) -> Self {
        Self { spot, at, settled: None, carried_moving: None, drive_refused: false, was_via: false }
    }
}

struct Settled {
    time_s: f64,
    place: Placement,
    parent: Option<usize>,
    legs: Vec<Waypoint>,
}

/// A way to a node whose load is still to be looked at.
struct Candidate {
    time_s: f64,
    node: usize,
    parent: usize,
    legs: Vec<Waypoint>,
}

struct Dijkstra<'a> {
    problem: &'a Problem,
    start: &'a Configuration,
    mover: ModuleId,
    limit: f64,
    spots: Vec<Spot>,
    nodes: Vec<Node>,
    /// The one node that is asked for.
    only: Option<usize>,
    open: LeastFirst<Candidate>,
    faces: IndexMap<Body, Face<'a>>,
    /// Whether drives on a deck carry the load: on a level deck it does not depend on where.
    deck_carries: Vec<Option<bool>>,
    refused: usize,
    hint: PushHint,
}

impl<'a> Dijkstra<'a> {
    fn new(
        problem: &'a Problem,
        start: &'a Configuration,
        mover: ModuleId,
        spots: Vec<Spot>,
        limit: f64,
    ) -> Self {
        let mut nodes: Vec<Node> = Vec::new();
        let mut faces: IndexMap<Body, Face<'a>> = IndexMap::new();
        let hosts =
            spots.iter().enumerate().flat_map(|(i, s)| s.hosts.iter().map(move |&h| (i, s.position, h)));
        for (index, position, host) in hosts {
            let at = Waypoint::straight(host, position);
            nodes.push(Node::new(Some(index), at));
            faces.entry(host).or_insert_with(|| Face::new(problem, start, mover, host));
        }
        let host = start.get(mover).host;
        faces.entry(host).or_insert_with(|| Face::new(problem, start, mover, host));
        let deck_carries = vec![None; problem.decks.len()];
        let (open, hint) = (LeastFirst::default(), PushHint::default());
        Self {
            problem,
            start,
            mover,
            limit,
            spots,
            nodes,
            only: None,
            open,
            faces,
            deck_carries,
            refused: 0,
            hint,
        }
    }

    fn run(&mut self) {
        let place = *self.start.get(self.mover);
        let at = Waypoint::straight(place.host, place.position);
        let is_start = |n: &Node| n.at.host == at.host && n.at.position.distance(at.position) < 1e-7;
        let first = self.nodes.iter().position(is_start).unwrap_or_else(|| {
            // The start may touch other bodies without being one of the spots.
            self.nodes.push(Node::new(None, at));
            self.nodes.len() - 1
        });
        self.nodes[first].settled = Some(Settled { time_s: 0.0, place, parent: None, legs: Vec::new() });
        self.expand(first);
        loop {
            while let Some(candidate) = self.open.pop() {
                if self.nodes[candidate.node].settled.is_some() {
                    continue;
                }
                let node = candidate.node;
                if let Some(settled) = self.arrive(candidate) {
                    self.nodes[node].settled = Some(settled);
                    if self.only == Some(node) {
                        return;
                    }
                    self.expand(node);
                }
            }
            if !self.try_detours() {
                break;
            }
        }
    }

    fn push(&mut self, candidate: Candidate) {
        let ties = [candidate.node as u64, candidate.parent as u64];
        self.open.push([candidate.time_s, 0.0], ties, candidate);
    }

    /// Pushes hops out of a node, and drives if none has led there on this host: a shortest drive does not bend at a rest.
    fn expand(&mut self, from: usize) {
        let Some(settled) = &self.nodes[from].settled else { return };
        let (place, time_s) = (settled.place, settled.time_s);
        let came_by_hop = settled.parent.is_none_or(|p| self.nodes[p].at.host != self.nodes[from].at.host);
        let position = self.nodes[from].at.position;
        for to in 0..self.nodes.len() {
            let node = &self.nodes[to];
            if to != from && node.settled.is_none() && node.at.position.distance_squared(position) < 1e-18 {
                self.push_hop(from, to, &place, time_s);
            }
        }
        if came_by_hop {
            let open = |node: &Node| node.settled.is_none() && node.carried_moving != Some(false);
            self.push_drives(from, open);
        }
    }

    /// Pushes shortest drives from a node to those nodes of its host that are wanted.
    fn push_drives(&mut self, from: usize, wanted: impl Fn(&Node) -> bool) {
        let Some(settled) = &self.nodes[from].settled else { return };
        let (place, begun_s) = (settled.place, settled.time_s);
        let Some(face) = self.faces.get(&place.host) else { return };
        let targets: Vec<usize> = (0..self.nodes.len())
            .filter(|&to| to != from && self.nodes[to].at.host == place.host && wanted(&self.nodes[to]))
            .collect();
        let places: Vec<_> = targets.iter().map(|&to| self.nodes[to].at.position).collect();
        let mut now = self.start.clone();
        *now.get_mut(self.mover) = place;
        for (node, legs) in
            targets.into_iter().zip(face.routes_heading(place.position, Some(place.heading()), &places))
        {
            let moves =
                legs.as_ref().and_then(|legs| compile_alone(self.problem, &mut now, self.mover, legs).ok());
            let (Some(legs), Some(moves)) = (legs, moves) else {
                self.nodes[node].drive_refused |= place.host.module().is_some();
                continue;
            };
            let way_s: f64 = moves
                .iter()
                .map(|(action, _)| duration_s(self.problem, self.mover, Hold::Rolling, action))
                .sum();
            self.push(Candidate { time_s: begun_s + way_s, node, parent: from, legs });
        }
    }

    /// When nothing is left: rests that the load forbids to come to by the shortest drive, or that a wall hides from where the module came onto
    /// the host, may be come to past another rest.
    fn try_detours(&mut self) -> bool {
        let refused: Vec<usize> = (0..self.nodes.len())
            .filter(|&n| {
                let node = &self.nodes[n];
                node.drive_refused && node.settled.is_none() && node.carried_moving != Some(false)
            })
            .collect();
        let vias: Vec<usize> = (0..self.nodes.len())
            .filter(|&n| {
                let node = &self.nodes[n];
                !node.was_via
                    && node.settled.is_some()
                    && refused.iter().any(|&r| self.nodes[r].at.host == node.at.host)
            })
            .collect();
        for &via in &vias {
            self.nodes[via].was_via = true;
            self.push_drives(via, |node| node.drive_refused && node.settled.is_none());
        }
        !vias.is_empty()
    }

    fn push_hop(&mut self, from: usize, to: usize, place: &Placement, time_s: f64) {
        let kind = self.problem.kind(self.mover);
        let at = self.nodes[to].at;
        let normal = normal_at(self.start, &at);
        let both_decks = place.host.deck().is_some() && at.host.deck().is_some();
        if both_decks
            || at.host == place.host
            || angle_between(place.up(), normal) > kind.hop_limit_rad + tolerance::ANGLE_RAD
        {
            return;
        }
        let (yaw, _) = yaw_to(place, perpendicular_part(normal, place.up()));
        let time_s = time_s + yaw.abs() / kind.yaw_rate_rolling_radps + kind.hop_time_s;
        self.push(Candidate { time_s, node: to, parent: from, legs: vec![at] });
    }

    /// Tests the load of a way; `Some` when it is carried.
    fn arrive(&mut self, candidate: Candidate) -> Option<Settled> {
        let Candidate { time_s, node, parent, legs } = candidate;
        let place = self.nodes[parent].settled.as_ref()?.place;
        let target = self.nodes[node].at;
        let mut now = self.start.clone();
        *now.get_mut(self.mover) = place;
        let moves = compile_alone(self.problem, &mut now, self.mover, &legs).ok()?;
        if !self.carries(parent, node, now, &moves) {
            self.refused += 1;
            self.nodes[node].drive_refused |= target.host == place.host;
            return None;
        }
        let mut place = moves.last().map_or(place, |(_, after)| *after);
        place.position = target.position;
        Some(Settled { time_s, place, parent: Some(parent), legs })
    }

    /// Whether the moves from one node to the next carry their load.
    fn carries(
        &mut self,
        from: usize,
        to: usize,
        mut now: Configuration,
        moves: &[(Move, Placement)],
    ) -> bool {
        let (parent, target) = (self.nodes[from].at.host, self.nodes[to].at.host);
        if parent == target {
            if let Body::Deck(deck) = target {
                return self.deck_drive_carries(deck.index(), &now);
            }
            if !self.carried_moving(to) {
                return false;
            }
        } else if moves.len() > 1 && !self.carried_moving(from) {
            return false;
        }
        moves.iter().all(|&(action, after)| {
            // A module with nothing on it needs no torque to yaw, as its mass is over its foot; where it yaws it also slides or was tested.
            let yaws = matches!(action, Move::Yaw { .. });
            let carried = yaws || {
                let hop = matches!(action, Move::Hop { .. }).then_some((self.mover, after));
                let underway = Underway { mover: self.mover, action, share: 1.0 };
                Stretch::new(self.problem, now.clone(), &[underway], hop.as_slice())
                    .carries_with(self.limit, &mut self.hint)
            };
            *now.get_mut(self.mover) = after;
            carried
        })
    }

    /// Whether the load is carried at a node while the mover slides or yaws there: no touch of its own counts.
    fn carried_moving(&mut self, node: usize) -> bool {
        if let Some(known) = self.nodes[node].carried_moving {
            return known;
        }
        let mut there = self.start.clone();
        *there.get_mut(self.mover) = stand_at(self.start, self.mover, &self.nodes[node].at);
        let carried = self.standing_still_carries(&there);
        self.nodes[node].carried_moving = Some(carried);
        carried
    }

    fn deck_drive_carries(&mut self, deck: usize, now: &Configuration) -> bool {
        if let Some(known) = self.deck_carries[deck] {
            return known;
        }
        let carries = self.standing_still_carries(now);
        self.deck_carries[deck] = Some(carries);
        carries
    }

    /// The load of a slide that goes nowhere.
    fn standing_still_carries(&mut self, there: &Configuration) -> bool {
        let nothing = Move::Slide { travel_m: 0.0, curvature_per_m: 0.0 };
        Stretch::of_move(self.problem, there, self.mover, &nothing, there)
            .carries_with(self.limit, &mut self.hint)
    }

    fn into_reachable(self) -> Reachable {
        let mut ends: Vec<Reach> = Vec::new();
        for node in &self.nodes {
            let rests = node.spot.is_some_and(|spot| self.spots[spot].rest);
            let Some(settled) = node.settled.as_ref().filter(|s| rests && s.parent.is_some()) else {
                continue;
            };
            let mut waypoints: Vec<Waypoint> = Vec::new();
            let mut step = Some(settled);
            while let Some(here) = step {
                waypoints.extend(here.legs.iter().rev());
                step = here.parent.and_then(|p| self.nodes[p].settled.as_ref());
            }
            waypoints.reverse();
            ends.push(Reach { place: settled.place, time_s: settled.time_s, waypoints });
        }
        ends.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
        Reachable { ends, spots: self.spots.len(), refused_by_load: self.refused }
    }
}
