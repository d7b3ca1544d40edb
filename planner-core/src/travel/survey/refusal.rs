//! Why a part is not reached.

use crate::math::{DQuat, DVec3, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::{Move, Stretch};
use crate::statics::{Reason, assess};
use crate::travel::drive::{Stance, normal_at, stand_at};
use crate::travel::{HopArc, Waypoint, compile};

/// Why the mover does not get to a part of its surface.
#[derive(Clone, Debug, PartialEq)]
pub enum Unreached {
    /// No hop arcs lead there.
    CutOff,
    /// Hop arcs lead there, but at none of the places tried is the load carried.
    Load(Refusal),
    /// Hops there carry their load, but no drive was found to or from them.
    NoDrive,
    /// The mover is stuck or stood on.
    NotTried,
}

/// A hop that the load forbids.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refusal {
    /// From this host.
    pub from: Body,
    /// To this one.
    pub to: Body,
    /// Where the mover's centre would be.
    pub position: DVec3,
    /// The bond that fails, if one can be named.
    pub reason: Option<Reason>,
}

/// Who asks, and how much is allowed.
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
            match self.refused(from, to, position) {
                None => return Unreached::NoDrive,
                Some(reason) => {
                    nearest.get_or_insert(Refusal { from, to, position, reason });
                }
            }
        }
        nearest.map_or(Unreached::NoDrive, Unreached::Load)
    }

    /// `Some` if the load is not carried while the mover drives up to a place on one host and hops to another there.
    fn refused(&self, from: Body, to: Body, position: DVec3) -> Option<Option<Reason>> {
        let mut there = self.start.clone();
        let place = stand_at(self.start, self.mover, &Waypoint::straight(from, position));
        *there.get_mut(self.mover) = place;
        let came = self.start.get(self.mover).position.distance(position) > tolerance::LENGTH_M;
        let nothing = Move::Slide { travel_m: 0.0, curvature_per_m: 0.0 };
        if came && let Some(reason) = self.missed(&there, &nothing, &there) {
            return Some(reason);
        }
        // Headed square to the pivot's axis, as a yaw on the spot would leave it.
        let at = Waypoint::straight(to, position);
        let normal = normal_at(self.start, &at);
        let (yaw, _) = Stance::of(&place).yaw_before_hop(normal);
        there.get_mut(self.mover).orientation = DQuat::from_axis_angle(place.up(), yaw) * place.orientation;
        let moves = compile(self.problem, &there, self.mover, &[at]).ok()?;
        let mut before = &there;
        for (action, after) in &moves {
            if matches!(action, Move::Hop { .. })
                && let Some(reason) = self.missed(before, action, after)
            {
                return Some(reason);
            }
            before = after;
        }
        None
    }

    /// The reason why one move does not carry its load, if it does not.
    fn missed(&self, before: &Configuration, action: &Move, after: &Configuration) -> Option<Option<Reason>> {
        let stretch = Stretch::of_move(self.problem, before, self.mover, action, after);
        let hops = usize::from(matches!(action, Move::Hop { .. }));
        (0..=hops).find_map(|done| {
            let case = stretch.load_at(0.0, done);
            (!case.carries(self.limit)).then(|| assess(self.problem, &case).reason)
        })
    }
}
