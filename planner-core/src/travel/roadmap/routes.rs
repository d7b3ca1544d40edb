//! Drives round obstacles. On terrain they are worked out only when nothing else can be quicker.

use super::{Candidate, Parted, Roadmap, Route};
use crate::control::Stopped;
use crate::math::{DVec2, DVec3};

/// A lower bound on the time from any node to the one that is requested: its sole drives there no faster than straight on.
pub(super) struct Guide {
    /// The sole of the requested node, seen from above.
    sole: DVec2,
    slide_speed_mps: f64,
}

impl Roadmap<'_> {
    /// The guide to a node on terrain; `None` on plain sites, where it saves nothing, and where a hop could be quicker than it says.
    pub(super) fn guide_to(&self, node: usize) -> Option<Guide> {
        let kind = self.problem.kind(self.mover);
        let hops = self.spots.iter().any(|spot| spot.hosts.len() > 1);
        let hop_is_slow = 2.0 * kind.ride_height_m <= kind.hop_time_s * kind.slide_speed_mps;
        (!self.problem.is_plain() && (!hops || hop_is_slow))
            .then(|| Guide { sole: self.sole(node), slide_speed_mps: kind.slide_speed_mps })
    }

    /// Where the sole is at a node, seen from above.
    fn sole(&self, node: usize) -> DVec2 {
        let node = &self.nodes[node];
        (node.at.position - node.up * self.problem.kind(self.mover).ride_height_m).truncate()
    }

    /// Least time from a node to the one that is requested, in seconds.
    pub(super) fn least_on_s(&self, node: usize) -> f64 {
        self.guide.as_ref().map_or(0.0, |guide| self.sole(node).distance(guide.sole) / guide.slide_speed_mps)
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
