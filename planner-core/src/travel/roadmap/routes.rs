//! Drives round obstacles. On terrain they are worked out only when nothing else can be quicker.

use super::{Candidate, Parted, Passing, Roadmap, RoadmapNode, Route};
use crate::control::Stopped;
use crate::math::{DVec2, DVec3};
use crate::travel::is_large;
use std::collections::VecDeque;

/// Relative margin of a bound, so that rounding excludes nothing.
const ROUNDING: f64 = 1e-9;

/// A lower bound on the time from any node to the nearest of those that are requested: its sole drives there no faster than straight on, and a hop
/// takes longer than to drive as far as the sole jumps.
pub(super) struct Guide {
    /// The soles of the requested nodes, seen from above.
    soles: Vec<DVec2>,
    slide_speed_mps: f64,
    /// Factor on the bound: the trip found takes at most so many times as long as the quickest.
    weight: f64,
    /// By how much longer, in seconds.
    hop_s: f64,
    /// For each host the least number of hops to one with a requested node, as long as nobody asks for loads; `None` where there is no way. Empty
    /// where hops are not counted.
    hops: Vec<Option<u32>>,
}

impl Guide {
    /// The least number of hops from a host.
    fn hops_from(&self, host: usize) -> Option<u32> {
        self.hops.get(host).copied().flatten()
    }
}

impl Roadmap<'_> {
    /// The guide to some nodes; `None` where a hop could be quicker than it says, and for small crews on plain sites, where it saves nothing.
    ///
    /// Hops are counted in large crews, but not where all places are passed: detours over places from which no hop leads on are tried there.
    pub(super) fn guide_to(&self, nodes: &[usize], weight: f64, passing: Passing) -> Option<Guide> {
        let is_large = is_large(self.start);
        if !is_large && self.problem.is_plain() {
            return None;
        }
        let kind = self.problem.kind(self.mover);
        let hops = self.spots.iter().any(|spot| spot.hosts.len() > 1);
        let hop_s = kind.hop_time_s - 2.0 * kind.ride_height_m / kind.slide_speed_mps;
        (!hops || hop_s >= 0.0).then(|| Guide {
            soles: nodes.iter().map(|&node| self.sole(node)).collect(),
            slide_speed_mps: kind.slide_speed_mps,
            weight,
            hop_s: hop_s * (1.0 - ROUNDING),
            hops: if is_large && passing != Passing::All { self.hops_to(nodes) } else { Vec::new() },
        })
    }

    /// For each host the least number of hops to one of some nodes; crosses count as none.
    fn hops_to(&self, nodes: &[usize]) -> Vec<Option<u32>> {
        let mut hops: Vec<Option<u32>> = vec![None; self.hosts.len()];
        let mut open: VecDeque<(usize, u32)> = nodes.iter().map(|&node| (self.nodes[node].host, 0)).collect();
        while let Some((host, count)) = open.pop_front() {
            if hops[host].is_some_and(|known| known <= count) {
                continue;
            }
            hops[host] = Some(count);
            for node in self.hosts[host].nodes.iter().map(|&node| &self.nodes[node]) {
                if let Some(across) = node.across {
                    open.push_front((self.nodes[across].host, count));
                }
                for beside in self.beside(node).filter(|&beside| beside != host) {
                    open.push_back((beside, count + 1));
                }
            }
        }
        hops
    }

    /// The hosts on which the mover could stand at the place of a node.
    fn beside(&self, node: &RoadmapNode) -> impl Iterator<Item = usize> + '_ {
        let hosts = node.spot.map_or(&[][..], |spot| &self.spots[spot].hosts);
        hosts.iter().filter_map(|host| self.host_of.get(host).copied())
    }

    /// The least number of hops that follow after the way from one node to another: after a drive that does not end the trip, one at least. `None`
    /// where the trip cannot go on.
    fn hops_after(&self, guide: &Guide, from: usize, to: usize) -> Option<u32> {
        if guide.hops.is_empty() {
            return Some(0);
        }
        let node = &self.nodes[to];
        if self.nodes[from].host != node.host || node.across.is_some() || self.only.contains(&to) {
            return guide.hops_from(node.host);
        }
        let onto = self.beside(node).filter(|&beside| beside != node.host);
        let least = onto.filter_map(|beside| guide.hops_from(beside)).min()?;
        Some(least + 1)
    }

    /// Where the sole is at a node, seen from above.
    fn sole(&self, node: usize) -> DVec2 {
        let node = &self.nodes[node];
        (node.at.position - node.up * self.problem.kind(self.mover).ride_height_m).truncate()
    }

    /// Least time from the end of the way between two nodes to the nearest of those that are requested, in seconds and times the weight; infinite where
    /// no trip leads there without detours.
    pub(super) fn least_on_s(&self, from: usize, to: usize) -> f64 {
        let Some(guide) = &self.guide else { return 0.0 };
        let Some(hops) = self.hops_after(guide, from, to) else { return f64::INFINITY };
        let here = self.sole(to);
        let nearest = guide.soles.iter().map(|sole| here.distance(*sole)).fold(f64::INFINITY, f64::min);
        guide.weight * (nearest / guide.slide_speed_mps + f64::from(hops) * guide.hop_s)
    }

    /// Works the way of a drive out. If there is none, those from the same node to all others that wait are worked out in the same search.
    pub(super) fn work_out(&mut self, index: usize) -> Result<(), Stopped> {
        if self.ways[index].route != Route::Bounded {
            return Ok(());
        }
        let (from, to) = (self.ways[index].parent, self.ways[index].node);
        self.ways[index].route = Route::Done;
        if self.push_routes(from, vec![to], Vec::new()) {
            return Ok(());
        }
        let mut others = Vec::new();
        for way in &mut self.ways {
            if way.route == Route::Bounded && way.parent == from && self.nodes[way.node].settled.is_none() {
                way.route = Route::Done;
                others.push(way.node);
            }
        }
        self.bearing.interrupt.go_on()?;
        self.push_routes(from, others, Vec::new());
        Ok(())
    }

    /// Pushes shortest drives round obstacles from a node to others of its host; `reached` are those that it sees. Returns whether there is one to each
    /// of them for which none was known.
    pub(super) fn push_routes(&mut self, from: usize, hidden: Vec<usize>, mut reached: Vec<usize>) -> bool {
        let Some((stance, begun_s)) = self.stance(from) else { return true };
        let view = &self.hosts[self.nodes[from].host];
        let (ground, Some(face)) = (view.ground, &view.face) else { return true };
        let (problem, kind) = (self.problem, self.problem.kind(self.mover));
        let places: Vec<DVec3> = hidden.iter().map(|&to| self.nodes[to].at.position).collect();
        let worth_m: Vec<f64> =
            hidden.iter().map(|&to| face.most_m(self.nodes[to].hoped_s - begun_s)).collect();
        let routes = face.routes_past(stance.position, Some(stance.heading), &places, &worth_m);
        let mut cut_off: Vec<usize> = Vec::new();
        for ((&to, route), worth_m) in hidden.iter().zip(&routes).zip(&worth_m) {
            match route {
                Some(_) => reached.push(to),
                None if *worth_m == f64::INFINITY => cut_off.push(to),
                None => {}
            }
        }
        let all_found = cut_off.is_empty();
        if !all_found {
            self.hosts[self.nodes[from].host].parted.push(Parted { reached, cut_off });
        }
        for (to, legs) in hidden.into_iter().zip(routes) {
            let mut end = stance;
            let way_s = legs.as_ref().and_then(|legs| {
                legs.iter().map(|leg| end.drive((kind, problem.edition), ground, leg)).sum::<Option<f64>>()
            });
            if let (Some(way_s), Some(legs)) = (way_s, legs) {
                let (time_s, legs, heading) = (begun_s + way_s, Some(legs), Some(end.heading));
                let route = Route::Known;
                self.push_or_put_off(Candidate { time_s, node: to, parent: from, legs, heading, route });
            } else if self.nodes[to].hoped_s.is_finite() {
                self.put_off(from, to);
            } else {
                self.nodes[to].drive_refused |= ground.is_some();
            }
        }
        all_found
    }
}
