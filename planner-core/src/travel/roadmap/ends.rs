//! What a search over a roadmap has reached: trips to rests, the quickest first.

use super::{Roadmap, Settled};
use crate::travel::Waypoint;
use crate::travel::reachable::{NoTrip, Reach, Reachable};

impl Roadmap<'_> {
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
