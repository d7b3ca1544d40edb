//! Which edges of a roadmap carry the load.

use super::{Roadmap, RoadmapNode};
use crate::control::Stopped;
use crate::model::Body;
use crate::motion::Move;
use crate::travel::Waypoint;
use crate::travel::bearing::Hopping;
use crate::travel::drive::{NO_YAW_RAD, compile_alone, stand_at};

impl Roadmap<'_> {
    /// Whether the load is carried all along an edge, given that the mover may drive, or hop, at its ends.
    pub(super) fn carries(
        &mut self,
        from: usize,
        to: usize,
        legs: Option<&[Waypoint]>,
    ) -> Result<bool, Stopped> {
        let Some((stance, _)) = self.stance(from) else { return Ok(false) };
        if !self.can_turn_for(from, to, legs) {
            return Ok(false);
        }
        let (host, up) = (self.nodes[to].host, self.nodes[to].up);
        if let Some(way) = self.way_across(from, to) {
            let turns = stance.yaw_before_cross(way).0.abs() > NO_YAW_RAD;
            let [at, end] = [from, to].map(|node| self.nodes[node].at);
            return Ok((!turns || self.may_drive_at(from)?) && self.bearing.carries_cross(&at, &end)?);
        }
        if self.nodes[from].host != host {
            let both = [self.carries_hopping(from)?, self.carries_hopping(to)?];
            if both.contains(&Hopping::Refused)
                || !(stance.may_hop_as_it_heads(up) || self.may_drive_at(from)?)
            {
                return Ok(false);
            }
            let [at, end] = [from, to].map(|node| self.nodes[node].at);
            return Ok(both == [Hopping::Carried; 2] || self.bearing.carries_hop(&at, &end)?);
        }
        match self.hosts[host].body {
            Body::Ground(_) | Body::Stone(_) => Ok(true),
            Body::Module(host) => {
                let at = [self.nodes[to].at];
                self.bearing.carries_drives(&stance, host, legs.unwrap_or(&at))
            }
        }
    }

    /// Whether the mover can make an edge at all: one whose yaw is lost drives only straight on.
    fn can_turn_for(&self, from: usize, to: usize, legs: Option<&[Waypoint]>) -> bool {
        let can_yaw = self.problem.modules[self.mover.index()].can_yaw();
        let way = || {
            let (stance, _) = self.stance(from)?;
            let mut there = self.start.clone();
            *there.get_mut(self.mover) = stance.placed(self.nodes[from].at.host, self.start.get(self.mover));
            let at = [self.nodes[to].at];
            compile_alone(self.problem, &mut there, self.mover, legs.unwrap_or(&at)).ok()
        };
        can_yaw || way().is_some()
    }

    /// Whether the load is carried at a node while the mover drives or yaws there.
    pub(super) fn may_drive_at(&mut self, node: usize) -> Result<bool, Stopped> {
        let RoadmapNode { at, host, .. } = self.nodes[node];
        let known = match at.host {
            Body::Ground(_) | Body::Stone(_) => &mut self.hosts[host].deck_carries,
            Body::Module(_) => &mut self.nodes[node].carried_moving,
        };
        if let Some(known) = *known {
            self.reuse.loads_known += 1;
            return Ok(known);
        }
        let carried = self.bearing.carries_moving(&at)?;
        *known = Some(carried);
        self.reuse.loads += 1;
        if !carried {
            let (problem, start, mover) = (self.problem, self.start, self.mover);
            self.refused.note(mover, || {
                let mut there = start.clone();
                *there.get_mut(mover) = stand_at(problem, start, mover, &at);
                let after = *there.get(mover);
                Some((there, vec![(Move::DRIVE_ON_THE_SPOT, after)]))
            });
        }
        Ok(carried)
    }

    /// Records an edge at whose ends the mover may drive, or hop, and that is not carried between.
    pub(super) fn note_refused(&mut self, from: usize, to: usize, legs: Option<&[Waypoint]>) {
        let Some((stance, _)) = self.stance(from) else { return };
        let (start, mover, host, at) = (self.start, self.mover, self.nodes[from].at.host, self.nodes[to].at);
        self.refused.note(mover, || {
            let mut there = start.clone();
            *there.get_mut(mover) = stance.placed(host, start.get(mover));
            let moves = compile_alone(self.problem, &mut there, mover, legs.unwrap_or(&[at])).ok()?;
            Some((there, moves))
        });
    }

    fn carries_hopping(&mut self, node: usize) -> Result<Hopping, Stopped> {
        let node = &mut self.nodes[node];
        let carried = match node.carried_hopping {
            Some(known) => known,
            None => self.bearing.carries_hopping(&node.at)?,
        };
        node.carried_hopping = Some(carried);
        Ok(carried)
    }
}
