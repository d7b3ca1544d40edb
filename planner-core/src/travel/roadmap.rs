//! The search for shortest trips of one module over a roadmap.

mod ends;
mod loads;
mod routes;

use self::routes::Guide;
use super::bearing::{Bearing, Hopping};
use super::drive::{Ground, Stance, ground, normal_at, way_over};
use super::reachable::Reuse;
use super::spots::{SAME_SPOT_M, Spot};
use super::{Face, Waypoint};
use crate::control::{Interrupt, Stopped};
use crate::math::{DVec2, DVec3, LeastFirst, angle_between, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::Refused;
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;
use std::rc::Rc;

/// Which places drives on grounds may lead to, besides those that are requested and those where a module crosses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Passing {
    /// None.
    None,
    /// Places from which a trip goes on by a hop.
    ToHop,
    /// All.
    All,
}

/// Weight of the bound on the time to go where only a few places are passed.
const IN_HASTE: f64 = 1.25;

impl Passing {
    /// The least first.
    pub(super) const ALL: [Self; 3] = [Self::None, Self::ToHop, Self::All];
}

/// Places whose squared distance is below this are equal, in m²: they differ by rounding.
const SAME_M2: f64 = 1e-18;

/// A spot on one of its hosts.
struct RoadmapNode {
    /// Index of the spot; `None` for a start that is no spot.
    spot: Option<usize>,
    at: Waypoint,
    /// The node at the other side of an edge that the mover can cross from here.
    across: Option<usize>,
    /// The foot's normal.
    up: DVec3,
    /// Index of the host.
    host: usize,
    settled: Option<Settled>,
    /// Least time of the candidates to this node that are still to be checked, in seconds.
    hoped_s: f64,
    /// The last deferred edge to this node, an index into the list of all of them.
    put_off: Option<usize>,
    /// Whether the load is carried here while the mover yaws or slides; `None` if not yet known.
    carried_moving: Option<bool>,
    /// Whether it is carried while the mover hops from or to this host.
    carried_hopping: Option<Hopping>,
    /// Whether a drive here was refused by the load, or none was found around the obstacles.
    drive_refused: bool,
    /// Whether detours over this node have been tried.
    was_via: bool,
}

struct Settled {
    time_s: f64,
    heading: DVec3,
    parent: Option<usize>,
    legs: Legs,
}

/// The path from one node to the next: waypoints on one host, or `None` for a straight drive or a hop.
type Legs = Option<Vec<Waypoint>>;

/// A candidate for the quickest trip to a node, whose load is still to be checked.
struct Candidate {
    time_s: f64,
    node: usize,
    parent: usize,
    legs: Legs,
    /// The heading at the end; for a straight drive it is computed only when needed.
    heading: Option<DVec3>,
    route: Route,
}

impl Candidate {
    /// A hop, a cross or a straight drive from one node to another, with the heading at its end if it is known.
    const fn known(time_s: f64, [parent, node]: [usize; 2], heading: Option<DVec3>) -> Self {
        Self { time_s, node, parent, legs: None, heading, route: Route::Known }
    }

    /// A drive that takes at least so long, and whose way is still to be worked out.
    const fn bounded(time_s: f64, [parent, node]: [usize; 2]) -> Self {
        Self { time_s, node, parent, legs: None, heading: None, route: Route::Bounded }
    }
}

/// What is known of a candidate's way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Route {
    /// All of it.
    Known,
    /// A drive whose way round the obstacles is not worked out; its time is a lower bound.
    Bounded,
    /// It was such a drive, and was worked out beside another.
    Done,
}

/// A host, and the nodes on it.
struct HostView<'a> {
    body: Body,
    ground: Ground,
    nodes: Vec<usize>,
    face: Option<Rc<Face<'a>>>,
    /// Whether drives carry the load on a deck: where it is level this does not depend on the place.
    deck_carries: Option<bool>,
    /// What was found out about parts of it that no drive joins.
    parted: Vec<Parted>,
}

/// Nodes that drives reach from one place of a host, and nodes that none does.
struct Parted {
    reached: Vec<usize>,
    cut_off: Vec<usize>,
}

/// Dijkstra's algorithm over the nodes.
pub(super) struct Roadmap<'a> {
    problem: &'a Problem,
    start: &'a Configuration,
    mover: ModuleId,
    spots: Vec<Spot>,
    /// The nodes of a spot are contiguous.
    nodes: Vec<RoadmapNode>,
    /// The only nodes that are requested, if any: the first that is reached ends the search.
    only: Vec<usize>,
    /// How far a node is at least from the nearest of these.
    guide: Option<Guide>,
    hosts: Vec<HostView<'a>>,
    /// Indices of the hosts.
    host_of: IndexMap<Body, usize, FxBuildHasher>,
    /// Candidates that may be the quickest, and the queue in which they are checked.
    ways: Vec<Candidate>,
    open: LeastFirst<usize>,
    /// Starts of deferred edges, checked only if the load forbids quicker ones; each with the previous one to the same node.
    put_off: Vec<(usize, Option<usize>)>,
    bearing: Bearing<'a>,
    refused: Refused,
    reuse: Reuse,
}

impl<'a> Roadmap<'a> {
    pub(super) fn new(
        problem: &'a Problem,
        start: &'a Configuration,
        mover: ModuleId,
        spots: Vec<Spot>,
        limit: f64,
        interrupt: Interrupt<'a>,
    ) -> Self {
        let bearing = Bearing::new(problem, start, mover, limit, interrupt);
        let count = spots.iter().map(|spot| spot.hosts.len()).sum::<usize>() + 1;
        let (nodes, hosts, put_off) = (Vec::with_capacity(count), Vec::new(), Vec::with_capacity(count));
        let (ways, open) = (Vec::with_capacity(2 * count), LeastFirst::with_capacity(count));
        let mut new = Self {
            problem,
            start,
            mover,
            spots: Vec::new(),
            nodes,
            only: Vec::new(),
            guide: None,
            hosts,
            host_of: IndexMap::default(),
            ways,
            open,
            put_off,
            bearing,
            refused: Refused::default(),
            reuse: Reuse::default(),
        };
        for (index, spot) in spots.iter().enumerate() {
            for &host in &spot.hosts {
                new.add_node(Some(index), Waypoint::straight(host, spot.position));
            }
        }
        new.spots = spots;
        new
    }

    /// Adds the two places of a cross.
    pub(super) fn add_crossing(&mut self, ends: [Waypoint; 2]) {
        let [a, b] = ends.map(|end| self.add_node(None, end));
        (self.nodes[a].across, self.nodes[b].across) = (Some(b), Some(a));
    }

    fn add_node(&mut self, spot: Option<usize>, at: Waypoint) -> usize {
        let host = self.host_of.get(&at.host).copied().unwrap_or_else(|| {
            let ground = ground(self.problem, self.start, at.host);
            let (body, nodes) = (at.host, Vec::new());
            self.hosts.push(HostView {
                body,
                ground,
                nodes,
                face: None,
                deck_carries: None,
                parted: Vec::new(),
            });
            self.host_of.insert(at.host, self.hosts.len() - 1);
            self.hosts.len() - 1
        });
        self.hosts[host].nodes.push(self.nodes.len());
        self.nodes.push(RoadmapNode {
            spot,
            at,
            across: None,
            up: normal_at(self.problem, self.start, &at),
            host,
            settled: None,
            hoped_s: f64::INFINITY,
            put_off: None,
            carried_moving: None,
            carried_hopping: None,
            drive_refused: false,
            was_via: false,
        });
        self.nodes.len() - 1
    }

    /// Settles all nodes that can be settled.
    pub(super) fn run(&mut self) -> Result<(), Stopped> {
        let place = self.start.get(self.mover);
        let at = Waypoint::straight(place.host, place.position);
        let is_start =
            |n: &RoadmapNode| n.at.host == at.host && n.at.position.distance(at.position) < SAME_SPOT_M;
        // The start may touch other bodies without being one of the spots.
        let first = self.nodes.iter().position(is_start).unwrap_or_else(|| self.add_node(None, at));
        self.nodes[first].at = at;
        let settled = Settled { time_s: 0.0, heading: place.heading(), parent: None, legs: None };
        self.nodes[first].settled = Some(settled);
        self.expand(first)?;
        loop {
            while let Some(index) = self.open.pop() {
                let Candidate { time_s, node, parent, heading, .. } = self.ways[index];
                if self.nodes[node].settled.is_some() {
                    continue;
                }
                self.bearing.interrupt.go_on()?;
                if self.ways[index].route != Route::Known {
                    self.work_out(index)?;
                    continue;
                }
                let legs = self.ways[index].legs.take();
                if self.carries(parent, node, legs.as_deref())? {
                    let heading = heading.unwrap_or_else(|| self.heading_after_straight(parent, node));
                    self.nodes[node].settled = Some(Settled { time_s, heading, parent: Some(parent), legs });
                    if self.only.contains(&node) {
                        return Ok(());
                    }
                    self.expand(node)?;
                } else {
                    self.note_refused(parent, node, legs.as_deref());
                    self.refuse(parent, node)?;
                }
            }
            if !self.try_detours()? {
                return self.bearing.interrupt.go_on();
            }
        }
    }

    /// The state of the mover at a settled node.
    fn stance(&self, node: usize) -> Option<(Stance, f64)> {
        let RoadmapNode { at, up, settled, .. } = &self.nodes[node];
        settled.as_ref().map(|settled| {
            (Stance { position: at.position, up: *up, heading: settled.heading }, settled.time_s)
        })
    }

    /// The heading after a straight drive from one node to another.
    fn heading_after_straight(&self, from: usize, to: usize) -> DVec3 {
        let Some((stance, _)) = self.stance(from) else { return DVec3::X };
        let node = &self.nodes[to];
        stance.heading_at(self.hosts[node.host].ground, node.at.position)
    }

    fn push(&mut self, candidate: Candidate) {
        let node = &mut self.nodes[candidate.node];
        node.hoped_s = node.hoped_s.min(candidate.time_s);
        self.enqueue(candidate);
    }

    fn enqueue(&mut self, candidate: Candidate) {
        let ties = [candidate.node as u64, candidate.parent as u64];
        let rank_s = candidate.time_s + self.least_on_s(candidate.parent, candidate.node);
        if rank_s == f64::INFINITY {
            return; // no way leads on from there, but for detours: they are tried where all places are passed
        }
        self.open.push([rank_s, 0.0], ties, self.ways.len());
        self.ways.push(candidate);
    }

    /// Pushes hops out of a node, and drives if none has led there on this host: a shortest drive does not bend at a rest.
    fn expand(&mut self, from: usize) -> Result<(), Stopped> {
        let RoadmapNode { at, spot, host, .. } = self.nodes[from];
        let nearby = |node: &RoadmapNode| match spot {
            Some(_) => node.spot == spot,
            None => node.at.position.distance_squared(at.position) < SAME_M2,
        };
        let first = if spot.is_some() {
            from - self.nodes[..from].iter().rev().take_while(|node| nearby(node)).count()
        } else {
            0
        };
        let last =
            first + self.nodes[first..].iter().take_while(|node| spot.is_none() || nearby(node)).count();
        for to in first..last {
            let node = &self.nodes[to];
            if to != from && node.settled.is_none() && nearby(node) {
                self.push_hop(from, to);
            }
        }
        if let Some(across) = self.nodes[from].across.filter(|to| self.nodes[*to].settled.is_none()) {
            self.push_cross(from, across);
        }
        let came_by = self.nodes[from].settled.as_ref().and_then(|settled| settled.parent);
        if came_by.is_none_or(|parent| self.nodes[parent].host != host) {
            let view = &self.hosts[host];
            let mut targets = view.nodes.clone();
            if let Some(parted) = view.parted.iter().find(|parted| parted.reached.contains(&from)) {
                targets.retain(|to| !parted.cut_off.contains(to));
            }
            self.push_drives(from, &targets)?;
        }
        Ok(())
    }

    /// Pushes shortest drives from a node to others of its host that are not yet settled. Those that would take longer than the best candidate known
    /// are deferred.
    fn push_drives(&mut self, from: usize, targets: &[usize]) -> Result<(), Stopped> {
        self.bearing.interrupt.go_on()?;
        let Some((stance, begun_s)) = self.stance(from) else { return Ok(()) };
        if !self.may_drive_at(from)? {
            return Ok(());
        }
        let (problem, kind) = (self.problem, self.problem.kind(self.mover));
        let view = &mut self.hosts[self.nodes[from].host];
        let (start, mover, body) = (self.start, self.mover, view.body);
        *(if view.face.is_some() { &mut self.reuse.faces_known } else { &mut self.reuse.faces }) += 1;
        let face = match &view.face {
            Some(face) => Rc::clone(face),
            None => Rc::new(Face::new(problem, start, mover, body, self.bearing.interrupt)?),
        };
        view.face = Some(Rc::clone(&face));
        let (mut hidden, mut reached): (Vec<usize>, Vec<usize>) = (Vec::new(), Vec::new());
        for &to in targets {
            let node = &self.nodes[to];
            if to == from || node.settled.is_some() || node.carried_moving == Some(false) {
                continue;
            }
            let sole_m = face.sole_m(stance.position.distance(node.at.position));
            if begun_s + sole_m / kind.slide_speed_mps >= node.hoped_s {
                self.put_off(from, to);
                continue;
            }
            if !self.may_drive_at(to)? {
                continue;
            }
            let at = self.nodes[to].at;
            if !face.is_clear(stance.position, &at) {
                match self.guide {
                    Some(_) => {
                        self.enqueue(Candidate::bounded(begun_s + sole_m / kind.slide_speed_mps, [from, to]))
                    }
                    None => hidden.push(to),
                }
                continue;
            }
            reached.push(to);
            let time_s = begun_s + stance.straight_s(kind, sole_m, at.position);
            self.push_or_put_off(Candidate::known(time_s, [from, to], None));
        }
        if !hidden.is_empty() {
            self.push_routes(from, hidden, reached);
        }
        Ok(())
    }

    /// Pushes a candidate if it is the quickest known to its node; otherwise defers it until the quickest is refused.
    fn push_or_put_off(&mut self, way: Candidate) {
        if way.time_s < self.nodes[way.node].hoped_s {
            self.push(way);
        } else {
            self.put_off(way.parent, way.node);
        }
    }

    fn put_off(&mut self, from: usize, to: usize) {
        let before = self.nodes[to].put_off.replace(self.put_off.len());
        self.put_off.push((from, before));
    }

    fn push_hop(&mut self, from: usize, to: usize) {
        let Some((mut stance, begun_s)) = self.stance(from) else { return };
        let kind = self.problem.kind(self.mover);
        let (here, there) = (&self.nodes[from], &self.nodes[to]);
        let both_decks = here.at.host.ground().is_some() && there.at.host.ground().is_some();
        if both_decks
            || here.host == there.host
            || there.carried_hopping == Some(Hopping::Refused)
            || angle_between(stance.up, there.up) > kind.hop_limit_rad + tolerance::ANGLE_RAD
        {
            return;
        }
        let time_s = begun_s + stance.hop(kind, there.up);
        let heading = Some(stance.heading);
        self.push_or_put_off(Candidate::known(time_s, [from, to], heading));
    }

    fn push_cross(&mut self, from: usize, to: usize) {
        let Some((mut stance, begun_s)) = self.stance(from) else { return };
        let there = &self.nodes[to];
        let Some(way) = self.way_across(from, to) else { return };
        let kind = self.problem.kind(self.mover);
        let time_s = begun_s + stance.cross(kind, way, (there.at.position, there.up));
        let heading = Some(stance.heading);
        self.push_or_put_off(Candidate::known(time_s, [from, to], heading));
    }

    /// The way of the sole seen from above between two nodes, if the mover crosses from one to the other.
    fn way_across(&self, from: usize, to: usize) -> Option<DVec2> {
        let [a, b] = [from, to].map(|node| self.nodes[node].at);
        let (from, to) = (a.host.ground()?, b.host.ground()?);
        (from != to).then(|| way_over(self.problem, (from, a.position), (to, b.position)))
    }

    /// When the queue is empty: tries to reach rests over another rest, where the load forbids the shortest drive or a wall hides them from where the
    /// module came onto the host.
    fn try_detours(&mut self) -> Result<bool, Stopped> {
        let mut tried = false;
        for host in 0..self.hosts.len() {
            let nodes = &self.hosts[host].nodes;
            let refused: Vec<usize> = nodes
                .iter()
                .copied()
                .filter(|&n| {
                    let node = &self.nodes[n];
                    node.drive_refused && node.settled.is_none() && node.carried_moving != Some(false)
                })
                .collect();
            if refused.is_empty() {
                continue;
            }
            let is_new = |n: &usize| !self.nodes[*n].was_via && self.nodes[*n].settled.is_some();
            let vias: Vec<usize> = nodes.iter().copied().filter(is_new).collect();
            for via in vias {
                tried = true;
                self.nodes[via].was_via = true;
                self.push_drives(via, &refused)?;
            }
        }
        Ok(tried)
    }

    /// After the load has refused a candidate, pushes those that were deferred for it.
    fn refuse(&mut self, from: usize, to: usize) -> Result<(), Stopped> {
        let host = self.nodes[from].host;
        let node = &mut self.nodes[to];
        node.drive_refused |= host == node.host;
        node.hoped_s = f64::INFINITY;
        let mut next = node.put_off.take();
        while let Some((from, before)) = next.map(|index| self.put_off[index]) {
            next = before;
            if self.nodes[from].host == self.nodes[to].host {
                self.push_drives(from, &[to])?;
            } else if self.nodes[from].across == Some(to) {
                self.push_cross(from, to);
            } else {
                self.push_hop(from, to);
            }
        }
        Ok(())
    }
}
