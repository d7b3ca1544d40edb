//! Touch forces that are remembered by the point of contact.

use super::DIRECTIONS;
use super::touching::{push_along, width};
use crate::math::DVec3;
use crate::model::Touch;
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;

/// For each point of contact the force on the touch's module, one for each direction of gravity, in newtons.
///
/// Modules that keep their places keep their points of contact, whichever others come and go, and whatever structure they are counted in.
#[derive(Clone, Debug, Default)]
pub(super) struct KnownForces(IndexMap<[u64; 3], [DVec3; DIRECTIONS], FxBuildHasher>);

impl KnownForces {
    /// Most points remembered; beyond that all are removed.
    const MOST: usize = 20_000;

    /// The forces known for some touches, each within its friction cone; zero where none is known.
    pub(super) fn on(&self, touches: &[Touch], direction: usize) -> Vec<DVec3> {
        let known = |touch: &Touch| {
            self.0.get(&key(touch)).map_or(DVec3::ZERO, |forces| admissible(touch, forces[direction]))
        };
        touches.iter().map(known).collect()
    }

    /// Remembers forces that carry along some directions.
    pub(super) fn keep(&mut self, touches: &[Touch], directions: &std::ops::Range<usize>, forces: &[DVec3]) {
        if self.0.len() + touches.len() > Self::MOST {
            self.0.clear();
        }
        for (touch, &force) in touches.iter().zip(forces) {
            self.0.entry(key(touch)).or_insert([DVec3::ZERO; DIRECTIONS])[directions.clone()].fill(force);
        }
    }
}

fn key(touch: &Touch) -> [u64; 3] {
    touch.point.to_array().map(f64::to_bits)
}

/// A force that the touch can exert, near to this one.
fn admissible(touch: &Touch, force: DVec3) -> DVec3 {
    let along = push_along(touch);
    let push = (force.dot(along) / along.length_squared()).max(0.0);
    let rub = force - along * push;
    let most = touch.friction * push;
    if width(touch) == 1 || most <= 0.0 {
        along * push
    } else {
        along * push + rub * (most / rub.length()).min(1.0)
    }
}
