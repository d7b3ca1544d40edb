//! How much further gravity may tilt.

use super::verdict::ALL;
use crate::check::Stances;
use crate::control::{Interrupt, Stopped};
use crate::model::ModuleId;
use crate::motion::structure_failures::Failed;
use crate::statics::WarmStart;
use std::f64::consts::FRAC_PI_2;

/// How much further gravity may tilt than is asked at each instant, proven over all instants.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct FurtherTilt {
    /// The angle in radians; every instant bears it.
    pub further_rad: f64,
    /// When the structure is first there that bears no more, in seconds; `None` where every structure bears any tilt.
    pub at_s: Option<f64>,
    /// The modules of that structure.
    pub members: Vec<ModuleId>,
}

/// The angle is worked out to this, in radians.
const TILT_RAD: f64 = 1e-4;

impl FurtherTilt {
    /// The least that any structure bears with bonds used up to a limit.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    fn new(stances: &Stances<'_>, limit: f64, interrupt: Interrupt<'_>) -> Result<Self, Stopped> {
        let mut hint = WarmStart::default();
        let mut least = Self { further_rad: FRAC_PI_2, at_s: None, members: Vec::new() };
        for structure in stances.numbers() {
            let wanted = stances.get(structure);
            let tilt_rad = wanted.problem.limits.moving_sway_rad();
            let mut bears =
                |further_rad: f64| Failed::tilted(wanted, further_rad).carries(limit, &mut hint, interrupt);
            let (mut low, mut high) = (0.0, least.further_rad.min(FRAC_PI_2 - tilt_rad));
            if bears(high)? {
                continue;
            }
            while high - low > TILT_RAD {
                let middle = 0.5 * (low + high);
                if bears(middle)? { low = middle } else { high = middle }
            }
            least = Self {
                further_rad: low,
                at_s: Some(stances.time_s(structure, 0.0)),
                members: stances.members(structure).to_vec(),
            };
        }
        Ok(least)
    }

    /// The least until some bond is used beyond the limit on plans, and until some bond gives.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(super) fn both(
        stances: &Stances<'_>,
        limit: f64,
        interrupt: Interrupt<'_>,
    ) -> Result<[Self; 2], Stopped> {
        let (margin, all) =
            rayon::join(|| Self::new(stances, limit, interrupt), || Self::new(stances, ALL, interrupt));
        Ok([margin?, all?])
    }
}
