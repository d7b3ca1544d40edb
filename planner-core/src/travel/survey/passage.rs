//! The narrowest passage on trips.

use crate::math::{DVec3, tolerance};
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::{Attached, Move, Stretch};
use crate::travel::Reach;

/// The smallest free gap on the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// Free distance between the surfaces, in metres.
    pub gap_m: f64,
    /// The mover, and the body it passes.
    pub between: [Body; 2],
    /// The mover's centre there, in the world frame.
    pub position: DVec3,
    /// The end of the trip: the host and the mover's centre.
    pub towards: (Body, DVec3),
}

/// Finds the narrowest passage over several trips.
pub(super) struct Narrowest<'a> {
    problem: &'a Problem,
    start: &'a Configuration,
    mover: ModuleId,
    /// Moves seen on other trips: shortest trips share their beginnings.
    seen: indexmap::IndexSet<[u64; 8]>,
    pub(super) found: Option<Passage>,
}

impl<'a> Narrowest<'a> {
    pub(super) fn new(problem: &'a Problem, start: &'a Configuration, mover: ModuleId) -> Self {
        Self { problem, start, mover, seen: indexmap::IndexSet::new(), found: None }
    }

    /// Adds one trip. Gaps at its own ends are no passages, nor are bodies that a move leaves, holds or touches at its ends.
    pub(super) fn look_at(&mut self, moves: &[(Move, Configuration)], reach: &Reach) {
        let (first, last) = (self.start.get(self.mover).position, reach.place.position);
        let mut before = self.start;
        for (index, (action, after)) in moves.iter().enumerate() {
            let way = key(before.get(self.mover).position, after.get(self.mover).position, action);
            // The last move of a trip may end at what is a passage for another.
            if index + 1 == moves.len() || self.seen.insert(way) {
                let attached = Attached::new(self.problem, self.mover, action, before, after);
                let stretch = Stretch::of_move(self.problem, before, self.mover, action, after);
                if let Some(gap) = stretch.smallest_gap(&attached)
                    && self.found.is_none_or(|found| gap.gap_m < found.gap_m)
                {
                    let position = stretch.at(gap.share).get(self.mover).position;
                    let is_end = [first, last].iter().any(|e| e.distance(position) < tolerance::LENGTH_M);
                    if !is_end {
                        self.found = Some(Passage {
                            gap_m: gap.gap_m,
                            between: [Body::Module(gap.module), gap.other],
                            position,
                            towards: (reach.place.host, last),
                        });
                    }
                }
            }
            before = after;
        }
    }
}

/// A move from place to place, bit by bit: slides of other curvature are other moves.
fn key(from: DVec3, to: DVec3, action: &Move) -> [u64; 8] {
    let kind = match *action {
        Move::Yaw { angle_rad } => [1, angle_rad.to_bits()],
        Move::Slide { curvature_per_m, .. } => [2, curvature_per_m.to_bits()],
        Move::Hop { .. } => [3, 0],
        Move::Cross { .. } => [5, 0],
        Move::Stride { .. } => [6, 0],
        Move::Brace | Move::Release => [4, 0],
    };
    let [a, b, c] = from.to_array().map(f64::to_bits);
    let [d, e, f] = to.to_array().map(f64::to_bits);
    [a, b, c, d, e, f, kind[0], kind[1]]
}
