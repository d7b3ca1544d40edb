//! What is remembered from load cases for similar ones.

use super::DIRECTIONS;
use super::cone::Part;
use super::known_forces::KnownForces;

/// Warm start: touch forces that balanced similar cases, and certificates that no forces could. They are tried first, and each is tested in full on
/// the case at hand: wrong ones cost a little time and never make an answer wrong. With many touches, where a case may carry and no proof be found, good
/// ones may make the difference.
#[derive(Clone, Debug, Default)]
pub struct WarmStart {
    pub(super) pushes: Remembered<Vec<f64>>,
    pub(super) refusals: Remembered<Vec<Part>>,
    /// Of cases with many touches.
    pub(super) forces: KnownForces,
}

impl WarmStart {
    /// Exchanges the forces that are remembered by the point of contact, which are of use for whatever structures a module is in.
    pub(crate) fn exchange_forces(&mut self, other: &mut Self) {
        std::mem::swap(&mut self.forces, &mut other.forces);
    }
}

/// A short list, the most recently useful entry first.
#[derive(Clone, Debug)]
pub(super) struct Remembered<T>(Vec<T>);

impl<T> Default for Remembered<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T> Remembered<T> {
    /// Two for each direction.
    const MOST: usize = 2 * DIRECTIONS;

    /// Whether one of them is suitable.
    pub(super) fn any(&mut self, will_do: impl FnMut(&T) -> bool) -> bool {
        let found = self.0.iter().position(will_do);
        if let Some(index) = found {
            self.0[..=index].rotate_right(1);
        }
        found.is_some()
    }

    pub(super) fn add(&mut self, item: T) {
        self.0.truncate(Self::MOST - 1);
        self.0.insert(0, item);
    }
}
