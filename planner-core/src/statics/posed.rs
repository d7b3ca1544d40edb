//! A load case that is asked about many directions and margins: what its touches reach is worked out once.

use super::case::{LoadCase, SLACK, Utilisation};
use super::patches;
use super::touching::TouchProgram;
use super::warm_start::WarmStart;

/// A load case with its touch programme.
#[derive(Clone, Debug)]
pub(crate) struct PosedCase {
    pub(super) case: LoadCase,
    /// None where nothing touches.
    pub(super) program: Option<TouchProgram>,
}

impl PosedCase {
    pub(crate) fn new(case: LoadCase) -> Self {
        let program = (!case.touches.is_empty()).then(|| TouchProgram::new(&case));
        Self { case, program }
    }

    /// The load case.
    pub(crate) const fn case(&self) -> &LoadCase {
        &self.case
    }

    /// The same with a margin added to every demand: these bounds times a share, in newtons of peel and slip.
    pub(crate) fn with_margin(&self, bounds: &[[f64; 2]], share: f64) -> Self {
        let mut posed = self.clone();
        posed.case.set_margin(bounds, share);
        posed
    }

    /// The utilisation along a direction.
    pub(crate) fn utilisation(&self, direction: usize) -> Utilisation {
        match &self.program {
            Some(program) => program.utilisation(&self.case, direction),
            None => self.case.utilisation_without_touches(direction),
        }
    }

    /// Whether a direction uses no more than `most`, which meets all hard conditions. A yes is proven by touch forces that carry the load, and takes
    /// far less time than the exact utilisation; forces that did so in similar cases are tried first.
    pub(crate) fn uses_at_most(&self, direction: usize, most: Utilisation, hint: &mut WarmStart) -> bool {
        // What is within a limit may be above it by the slack.
        let limit = most.value - SLACK;
        most.within(f64::INFINITY)
            && match &self.program {
                Some(_) if patches::are_many(&self.case) => {
                    patches::carries(&self.case, direction..direction + 1, limit, hint)
                }
                Some(program) => program.carries_one_way(&self.case, direction, limit, hint),
                None => self.case.utilisation_without_touches(direction).within(limit),
            }
    }
}
