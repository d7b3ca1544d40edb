//! Why a part is not reached.

use crate::math::{DQuat, DVec3, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::{Move, Stretch};
use crate::statics::{Reason, assess};
use crate::travel::drive::{Stance, normal_at, stand_at};
use crate::travel::{HopArc, Waypoint, compile};

/// Why the mover does not reach a part of its surface.
#[derive(Clone, Debug, PartialEq)]
pub enum Unreached {
    /// No hop arcs lead there.
    CutOff,
    /// Hop arcs lead there, but the load is not carried at any of the places tried.
    Load(Refusal),
    /// Hops there carry their load, but no drive was found to or from them.
    NoDrive,
    /// The mover is stuck, or carries others.
    NotTried,
}

/// A hop that the load forbids.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refusal {
    /// The old host.
    pub from: Body,
    /// The new host.
    pub to: Body,
    /// The mover's centre, in the world frame.
    pub position: DVec3,
    /// The bond that fails, if one can be named.
    pub reason: Option<Reason>,
}

/// A load that is not carried, and the bond that fails, if one can be named.
struct NotCarried {
    reason: Option<Reason>,
}

/// The mover, the crew and the limit.
pub(super) struct Asked<'a> {
    pub(super) problem: &'a Problem,
    pub(super) start: &'a Configuration,
    pub(super) mover: ModuleId,
    /// Largest utilisation allowed.
    pub(super) limit: f64,
}

impl Asked<'_> {
    /// Tries hops at ends, middles and nearest points of hop arcs, each from the host given with it.
    pub(super) fn why_unreached(&self, arcs: Vec<(Body, &HopArc)>) -> Unreached {
        let home = self.start.get(self.mover).position;
        let mut places: Vec<(Body, Body, DVec3)> = Vec::new();
        for (from, hop_arc) in arcs {
            let to = if hop_arc.hosts[0] == from { hop_arc.hosts[1] } else { hop_arc.hosts[0] };
            let mut shares = vec![0.5, 0.0, 1.0];
            let facing = hop_arc.arc.curve.parameter(home) - hop_arc.arc.from;
            shares.push(facing.rem_euclid(hop_arc.arc.curve.span()) / hop_arc.arc.width);
            shares.retain(|share| (0.0..=1.0).contains(share));
            places.extend(shares.into_iter().map(|share| (from, to, hop_arc.arc.at(share))));
        }
        places.sort_by(|a, b| a.2.distance_squared(home).total_cmp(&b.2.distance_squared(home)));
        let mut nearest: Option<Refusal> = None;
        for (from, to, position) in places {
            match self.hop_carries(from, to, position) {
                Ok(()) => return Unreached::NoDrive,
                Err(NotCarried { reason }) => {
                    nearest.get_or_insert(Refusal { from, to, position, reason });
                }
            }
        }
        nearest.map_or(Unreached::NoDrive, Unreached::Load)
    }

    /// Whether the load is carried while the mover drives up to a place on one host and hops to another there.
    fn hop_carries(&self, from: Body, to: Body, position: DVec3) -> Result<(), NotCarried> {
        let mut there = self.start.clone();
        let place = stand_at(self.problem, self.start, self.mover, &Waypoint::straight(from, position));
        *there.get_mut(self.mover) = place;
        let came = self.start.get(self.mover).position.distance(position) > tolerance::LENGTH_M;
        if came {
            self.move_carries(&there, &Move::DRIVE_ON_THE_SPOT, &there)?;
        }
        // The heading is square to the pivot axis, as a yaw on the spot would leave it.
        let at = Waypoint::straight(to, position);
        let normal = normal_at(self.problem, self.start, &at);
        let (yaw, _) = Stance::of(&place).yaw_before_hop(normal);
        there.get_mut(self.mover).orientation = DQuat::from_axis_angle(place.up(), yaw) * place.orientation;
        let Ok(moves) = compile(self.problem, &there, self.mover, &[at]) else { return Ok(()) };
        let mut before = &there;
        for (action, after) in &moves {
            if matches!(action, Move::Hop { .. }) {
                self.move_carries(before, action, after)?;
            }
            before = after;
        }
        Ok(())
    }

    /// Whether the load is carried at the start of one move, and for a hop also at its end.
    fn move_carries(
        &self,
        before: &Configuration,
        action: &Move,
        after: &Configuration,
    ) -> Result<(), NotCarried> {
        let stretch = Stretch::of_move(self.problem, before, self.mover, action, after);
        let hops = usize::from(matches!(action, Move::Hop { .. }));
        for done in 0..=hops {
            let case = stretch.load_at(0.0, done);
            if !case.carries(self.limit) {
                return Err(NotCarried { reason: assess(self.problem, &case).reason });
            }
        }
        Ok(())
    }
}
