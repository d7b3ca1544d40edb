//! What the bonds of a structure without touches need over its time: certified, not sampled.
//!
//! Without touches the wrench of every bond follows from the weight above it, whatever the bonds hold. The demand of a bond is convex in that wrench,
//! so between two instants it is at most that of the worse end with the chord error added (see `utilisation_course`).

use super::structure_failures::Failed;
use super::utilisation_course::chord_error;
use crate::control::{Interrupt, Stopped};
use crate::math::DVec3;
use crate::model::{Body, ModuleId};
use crate::statics::{BondLoad, DIRECTIONS, LoadCase};

/// The most that a bond needs over the time of a structure.
#[derive(Clone, Copy, Debug)]
pub(crate) struct BondNeed {
    /// The module whose bond it is.
    pub(crate) child: ModuleId,
    /// The body it stands on.
    pub(crate) host: Body,
    /// The least adhesion that holds it, in newtons; a hop's weaker hold counts as a greater need. No instant needs more by 1e-6 N.
    pub(crate) need_n: f64,
    /// The fraction of the time at which it is needed.
    pub(crate) share: f64,
    /// The set of hops that are done then.
    pub(crate) hops_done: usize,
    /// The bond then.
    pub(crate) bond: BondLoad,
    /// Gravity then, in m/s².
    pub(crate) gravity: DVec3,
}

/// Needs are worked out to this, in newtons.
const CLOSED_N: f64 = 1e-6;
/// Fractions closer than this are one instant.
const INSTANT: f64 = 1e-7;

/// The needs of all bonds with adhesion; `None` for a structure with touches.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub(crate) fn bond_needs(
    failed: &Failed,
    interrupt: Interrupt<'_>,
) -> Result<Option<Vec<BondNeed>>, Stopped> {
    if !failed.touches().is_empty() {
        return Ok(None);
    }
    let mut found: Vec<BondNeed> = Vec::new();
    for hops_done in failed.hops_done() {
        let holds: Vec<(ModuleId, f64)> =
            failed.hopping().map(|mover| (mover, failed.problem().kind(mover).hop_hold)).collect();
        let mut search = Search { hops_done, holds, found: &mut found };
        interrupt.go_on()?;
        let first = failed.case_at(0.0, hops_done);
        search.look(&first, 0.0);
        let bounds = failed.curvature_bounds(&first);
        if bounds.iter().all(|b| *b == [0.0; 2]) {
            continue;
        }
        interrupt.go_on()?;
        let last = failed.case_at(1.0, hops_done);
        search.look(&last, 1.0);
        let mut open = vec![((0.0, first), (1.0, last))];
        while let Some((from, to)) = open.pop() {
            let width = to.0 - from.0;
            if width < INSTANT || !search.may_hold_more([&from.1, &to.1], &bounds, chord_error(width)) {
                continue;
            }
            interrupt.go_on()?;
            let middle = 0.5 * (from.0 + to.0);
            let case = failed.case_at(middle, hops_done);
            search.look(&case, middle);
            open.push((from, (middle, case.clone())));
            open.push(((middle, case), to));
        }
    }
    Ok(Some(found))
}

struct Search<'a> {
    hops_done: usize,
    /// Modules that hop, and the share of their adhesion that is left.
    holds: Vec<(ModuleId, f64)>,
    found: &'a mut Vec<BondNeed>,
}

impl Search<'_> {
    fn need_n(&self, bond: &BondLoad, gravity: DVec3, extra: [f64; 2]) -> f64 {
        let demand = bond.demand_under(gravity);
        let need_n = (demand.peel_n + extra[0]).max(demand.slip_n + extra[1]);
        let hop = self.holds.iter().find(|(mover, _)| *mover == bond.child);
        need_n / hop.map_or(1.0, |(_, hold)| *hold)
    }

    fn look(&mut self, case: &LoadCase, share: f64) {
        for bond in case.bonds.iter().filter(|bond| bond.adhesion_n > 0.0) {
            for gravity in case.gravity {
                let need_n = self.need_n(bond, gravity, [0.0; 2]);
                let (child, host, hops_done) = (bond.child, bond.host, self.hops_done);
                let new = BondNeed { child, host, need_n, share, hops_done, bond: *bond, gravity };
                match self.found.iter_mut().find(|k| k.child == bond.child && k.host == bond.host) {
                    Some(known) if known.need_n >= need_n => {}
                    Some(known) => *known = new,
                    None => self.found.push(new),
                }
            }
        }
    }

    /// Whether a bond may need more between two instants than is known.
    fn may_hold_more(&self, ends: [&LoadCase; 2], bounds: &[[f64; 2]], chord: f64) -> bool {
        (0..ends[0].bonds.len()).filter(|&index| bounds[index] != [0.0; 2]).any(|index| {
            let extra = bounds[index].map(|bound| bound * chord);
            let child = ends[0].bonds[index].child;
            let known = self.found.iter().filter(|k| k.child == child).map(|k| k.need_n);
            let known = known.fold(f64::INFINITY, f64::min).max(0.0);
            let reach = |direction: usize| {
                let of = |case: &LoadCase| self.need_n(&case.bonds[index], case.gravity[direction], extra);
                ends.iter().map(|case| of(case)).fold(f64::NEG_INFINITY, f64::max)
            };
            ends[0].bonds[index].adhesion_n > 0.0
                && (0..DIRECTIONS).any(|direction| reach(direction) > known + CLOSED_N)
        })
    }
}
