//! What a search over a roadmap is asked for, and what it has reached: trips to rests, the quickest first.

use super::{IN_HASTE, Passing, Roadmap, RoadmapNode, Settled};
use crate::travel::Waypoint;
use crate::travel::reachable::{NoTrip, Reach, Reachable};

impl Roadmap<'_> {
    /// Ends the search at the first node at such a place that it reaches; `false` if there is none. Unless all may be passed on a way with detours, drives
    /// on grounds then lead only there and to places from which a trip goes on.
    pub(in crate::travel) fn ask_only_for(
        &mut self,
        is_there: impl Fn(&Waypoint) -> bool,
        passing: Passing,
    ) -> bool {
        // A cross may end at the same place, but a trip ends at a spot.
        let is_end = |node: &RoadmapNode| node.spot.is_some() && is_there(&node.at);
        self.only = (0..self.nodes.len()).filter(|&node| is_end(&self.nodes[node])).collect();
        let weight = if passing == Passing::None { IN_HASTE } else { 1.0 };
        self.guide = self.guide_to(&self.only, weight, passing);
        if passing != Passing::All {
            let Self { nodes, hosts, spots, only, .. } = self;
            let leads_on = |index: usize| {
                let node: &RoadmapNode = &nodes[index];
                let hops = node.spot.is_some_and(|spot| spots[spot].hosts.len() > 1);
                only.contains(&index) || (passing == Passing::ToHop && hops) || node.across.is_some()
            };
            for view in hosts.iter_mut().filter(|view| view.body.ground().is_some()) {
                view.nodes.retain(|&index| leads_on(index));
            }
        }
        !self.only.is_empty()
    }

    /// Number of waypoints on the path to a node.
    fn waypoints_to(&self, node: usize) -> usize {
        let (mut count, mut step) = (0, node);
        while let Some(Settled { parent: Some(parent), legs, .. }) = &self.nodes[step].settled {
            count += legs.as_ref().map_or(1, |legs| legs.len());
            step = *parent;
        }
        count
    }

    /// What there is no trip from: all that was reached.
    pub(in crate::travel) fn why_no_trip(&self) -> NoTrip {
        let settled = self.nodes.iter().filter(|node| node.settled.is_some());
        NoTrip { reached: settled.map(|node| node.at.position).collect(), by_load: self.refused.count() > 0 }
    }

    pub(in crate::travel) fn into_reachable(self) -> Reachable {
        let like = self.start.get(self.mover);
        let mut nearest: Vec<(f64, usize)> = Vec::with_capacity(self.nodes.len());
        for (index, node) in self.nodes.iter().enumerate() {
            let rests = node.spot.is_some_and(|spot| self.spots[spot].rest);
            if let Some(Settled { time_s, parent: Some(_), .. }) = node.settled.as_ref().filter(|_| rests) {
                nearest.push((*time_s, index));
            }
        }
        nearest.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut ends: Vec<Reach> = Vec::with_capacity(nearest.len());
        for (time_s, index) in nearest {
            let node = &self.nodes[index];
            let Some((stance, _)) = self.stance(index) else { continue };
            let mut waypoints: Vec<Waypoint> = Vec::with_capacity(self.waypoints_to(index));
            let mut step = index;
            while let Some(Settled { parent: Some(parent), legs, .. }) = &self.nodes[step].settled {
                match legs {
                    Some(legs) => waypoints.extend(legs.iter().rev()),
                    None => waypoints.push(self.nodes[step].at),
                }
                step = *parent;
            }
            waypoints.reverse();
            ends.push(Reach { place: stance.placed(node.at.host, like), time_s, waypoints });
        }
        Reachable {
            ends,
            spots: self.spots.len(),
            refused_by_load: self.refused.count() as usize,
            refused: self.refused,
            reuse: self.reuse,
        }
    }
}
