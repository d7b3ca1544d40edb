//! Touch forces that are remembered by the point of contact.

use super::DIRECTIONS;
use super::case::LoadCase;
use super::touching::TouchProgram;
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

    /// The forces known for the touches of a programme, as its unknowns; zero where none is known.
    pub(super) fn on(&self, program: &TouchProgram, case: &LoadCase, direction: usize) -> Vec<f64> {
        let known = |touch: &Touch| self.0.get(&key(touch)).map_or(DVec3::ZERO, |forces| forces[direction]);
        program.pushes_of(case, known)
    }

    /// Remembers the forces that carried a case along some directions.
    pub(super) fn keep(
        &mut self,
        program: &TouchProgram,
        case: &LoadCase,
        directions: std::ops::Range<usize>,
        pushes: &[f64],
    ) {
        if self.0.len() + case.touches.len() > Self::MOST {
            self.0.clear();
        }
        for (touch, force) in case.touches.iter().zip(program.forces_of(case, pushes)) {
            self.0.entry(key(touch)).or_insert([DVec3::ZERO; DIRECTIONS])[directions.clone()].fill(force);
        }
    }
}

fn key(touch: &Touch) -> [u64; 3] {
    touch.point.to_array().map(f64::to_bits)
}
