//! How much further gravity may tilt.

use super::Stances;
use crate::control::{Interrupt, Stopped};
use crate::model::ModuleId;
use crate::motion::structure_failures::Failed;
use crate::statics::WarmStart;
use rayon::prelude::*;
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

/// So many small structures come before the large ones.
const SMALL: usize = 16;
/// At most so many structures are looked at in parallel.
const AT_ONCE: usize = 64;
/// So many structures one after the other begin with the touch forces of the one before.
const ALIKE: usize = 16;

impl FurtherTilt {
    /// The least that any structure bears with bonds used up to a limit.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(crate) fn of(stances: &Stances<'_>, limit: f64, interrupt: Interrupt<'_>) -> Result<Self, Stopped> {
        let mut least = Self { further_rad: FRAC_PI_2, at_s: None, members: Vec::new() };
        // What is refused takes longest, and the longer the larger it is. The largest bear least, as a rule: where they come early, few of the others are
        // the weakest so far. But some small ones come first, so that the large ones are not asked whether they bear far too much.
        let mut structures: Vec<usize> = stances.numbers().collect();
        structures.sort_by_key(|&structure| stances.members(structure).len());
        structures[SMALL.min(stances.numbers().len())..].reverse();
        let (mut left, mut at_once) = (structures.as_slice(), 1);
        while !left.is_empty() {
            let (few, later) = left.split_at(at_once.min(left.len()));
            // Little is known from the first ones.
            (left, at_once) = (later, (2 * at_once).min(AT_ONCE));
            // Most bear what the weakest so far bears.
            let most = least.further_rad;
            let bear_it = |alike: &[usize]| {
                let mut hint = WarmStart::default();
                let bears_it =
                    |&structure: &usize| bears(stances, structure, most, limit, &mut hint, interrupt);
                alike.iter().map(bears_it).collect()
            };
            let strong: Result<Vec<Vec<bool>>, Stopped> = few.par_chunks(ALIKE).map(bear_it).collect();
            for (&structure, _) in few.iter().zip(strong?.concat()).filter(|(_, strong)| !strong) {
                let mut hint = WarmStart::default();
                let mut bears_tilt =
                    |tilt_rad: f64| bears(stances, structure, tilt_rad, limit, &mut hint, interrupt);
                let (mut low, mut high) = (0.0, least.further_rad);
                if bears_tilt(high)? {
                    continue;
                }
                while high - low > TILT_RAD {
                    let middle = 0.5 * (low + high);
                    if bears_tilt(middle)? { low = middle } else { high = middle }
                }
                least = Self {
                    further_rad: low,
                    at_s: Some(stances.time_s(structure, 0.0)),
                    members: stances.members(structure).to_vec(),
                };
            }
        }
        Ok(least)
    }
}

/// Whether a structure bears a further tilt of gravity at all its instants; nothing is asked beyond a quarter turn.
fn bears(
    stances: &Stances<'_>,
    structure: usize,
    further_rad: f64,
    limit: f64,
    hint: &mut WarmStart,
    interrupt: Interrupt<'_>,
) -> Result<bool, Stopped> {
    let wanted = stances.get(structure);
    let most = FRAC_PI_2 - wanted.problem.limits.moving_sway_rad();
    Failed::tilted(wanted, further_rad.min(most)).carries(limit, hint, interrupt)
}
