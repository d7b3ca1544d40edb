//! What may be asked of a load case: its utilisation, and whether it carries.

use super::case::{LoadCase, Utilisation};
use super::gravity::DIRECTIONS;
use super::patches;
use super::touching::{self, TouchProgram};
use super::warm_start::WarmStart;

impl LoadCase {
    /// The utilisation of the crew when gravity points along one of the [`DIRECTIONS`].
    #[must_use]
    pub fn utilisation(&self, direction: usize) -> Utilisation {
        if self.touches.is_empty() {
            self.utilisation_without_touches(direction)
        } else {
            touching::utilisation(self, direction)
        }
    }

    /// The worst utilisation over all directions.
    #[must_use]
    pub fn worst(&self) -> Utilisation {
        if self.touches.is_empty() {
            return (0..DIRECTIONS)
                .map(|k| self.utilisation_without_touches(k))
                .fold(Utilisation::NOTHING, Utilisation::worse);
        }
        let program = TouchProgram::new(self);
        (0..DIRECTIONS).map(|k| program.utilisation(self, k)).fold(Utilisation::NOTHING, Utilisation::worse)
    }

    /// Whether the load is carried with every utilisation at most `limit`, in all directions.
    ///
    /// Faster than [`worst`](Self::worst): forces found for one direction are tried on the next before the cone programme is solved again.
    #[must_use]
    pub fn carries(&self, limit: f64) -> bool {
        self.carries_warm(limit, &mut WarmStart::default())
    }

    /// The same with a warm start: touch forces found for a similar case are tried first, and those found here are stored for the next.
    #[must_use]
    pub fn carries_warm(&self, limit: f64, hint: &mut WarmStart) -> bool {
        let carried = |bond| self.bond_carries(bond, limit);
        if self.touches.is_empty() {
            return (0..self.bonds.len()).all(carried);
        }
        (0..self.bonds.len()).all(carried)
            || if patches::are_many(self) {
                patches::carries(self, 0..DIRECTIONS, limit, hint)
            } else {
                TouchProgram::new(self).carries(self, limit, hint)
            }
    }
}
