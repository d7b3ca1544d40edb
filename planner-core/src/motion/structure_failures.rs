//! What may fail in a structure, as changes of the question asked about it: a cup, a bond, a touch, a mass, the tilt of gravity, a drive.
//!
//! Each is the same structure over the same time with one thing changed, so the same proofs answer it. What a drive can push is not asked: one that
//! is too weak stands still, which is another failure.

use super::stretch::Missing;
use super::structure::{alone, renamed, renamed_body};
use super::structure_utilisations::{Gravity, Wanted};
use super::{Stretch, Underway, WorstUtilisation};
use crate::control::{Interrupt, Stopped};
use crate::model::{Body, Configuration, Hold, KindId, ModuleId, Placement, Problem, touches};
use crate::statics::{DIRECTIONS, LoadCase, PosedCase, WarmStart};
use std::ops::Range;

/// A structure in which something has failed. Its modules are numbered as in the structure it was, but for those that are gone.
#[derive(Clone)]
pub(crate) struct Failed {
    wanted: Wanted,
    /// Which of its hops may be done: those of these bit sets.
    hops_done: Range<usize>,
    missing: Missing,
    /// The modules that are left, by their numbers in the structure it was; `None` where all are.
    left: Option<Vec<ModuleId>>,
}

impl Failed {
    /// The structure as it is, its drives without limits.
    pub(crate) fn nothing(wanted: &Wanted) -> Self {
        let hops_done = 0..wanted.hop_variants();
        Self { wanted: wanted.clone(), hops_done, missing: Missing::Nothing, left: None }
    }

    /// Without the cup of a module; `None` if that does not hold anything.
    pub(crate) fn cup(wanted: &Wanted, module: ModuleId) -> Option<Self> {
        let place = wanted.there.get(module);
        let holds = |hold| wanted.problem.adhesion_n(module, place.host, hold);
        if place.hold != Hold::Braced || holds(Hold::Braced) <= holds(Hold::Rolling) {
            return None;
        }
        let mut failed = Self::nothing(wanted);
        failed.wanted.problem.modules[module.index()].lost.cup = true;
        Some(failed)
    }

    /// With a module whose mass and payload are multiplied.
    pub(crate) fn mass(wanted: &Wanted, module: ModuleId, factor: f64) -> Self {
        let mut failed = Self::nothing(wanted);
        let problem = &mut failed.wanted.problem;
        let mut kind = problem.kind(module).clone();
        kind.mass_kg *= factor;
        let id = KindId(problem.kinds.len() as u16);
        problem.kinds.push(kind);
        problem.modules[module.index()].kind = id;
        problem.modules[module.index()].payload_kg *= factor;
        failed
    }

    /// Under gravity that tilts further.
    pub(crate) fn tilted(wanted: &Wanted, further_rad: f64) -> Self {
        Self::changed(wanted, |problem| problem.limits.sway_rad += further_rad)
    }

    /// Without some touches.
    pub(crate) fn touch(wanted: &Wanted, missing: Missing) -> Self {
        Self { missing, ..Self::nothing(wanted) }
    }

    /// With every move under way going on beyond the structure's time: a fraction of it for each mover.
    pub(crate) fn going_on(wanted: &Wanted, share: impl Fn(ModuleId) -> f64) -> Self {
        let mut failed = Self::nothing(wanted);
        failed.wanted.moving.iter_mut().for_each(|u| u.share = share(u.mover));
        failed
    }

    /// Whether it is proven to carry its load within a limit at every combination of the progress of its moves.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(crate) fn carries_at_any_pace(
        &self,
        limit: f64,
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        self.stretch().carries_at_any_pace(limit, hint, interrupt)
    }

    /// The modules that slide or yaw in it.
    pub(crate) fn movers(&self) -> impl Iterator<Item = ModuleId> {
        self.wanted.moving.iter().map(|u| u.mover)
    }

    /// The modules that hop in it.
    pub(crate) fn hopping(&self) -> impl Iterator<Item = ModuleId> {
        self.wanted.hops.iter().map(|(mover, _)| *mover)
    }

    /// The sets of its hops that may be done.
    pub(crate) fn hops_done(&self) -> Range<usize> {
        self.hops_done.clone()
    }

    /// Upper bounds on the second derivatives of the demands of its bonds by the progress, in newtons: peel and slip.
    pub(crate) fn curvature_bounds(&self, case: &LoadCase) -> Vec<[f64; 2]> {
        if self.wanted.moves() {
            self.stretch().curvature_bounds(case)
        } else {
            vec![[0.0; 2]; case.bonds.len()]
        }
    }

    /// With the problem changed.
    pub(crate) fn changed(wanted: &Wanted, change: impl FnOnce(&mut Problem)) -> Self {
        let mut failed = Self::nothing(wanted);
        change(&mut failed.wanted.problem);
        failed
    }

    /// The hold that counts of a module.
    pub(crate) fn hold(&self, module: ModuleId) -> Hold {
        self.wanted.there.get(module).hold
    }

    /// The touches that count at its beginning, whichever of its hops are done.
    pub(crate) fn touches(&self) -> Vec<(ModuleId, Body)> {
        let cases = self.hops_done.clone().map(|hops_done| self.case_at(0.0, hops_done));
        let mut found: Vec<_> = cases.flat_map(|case| case.touches).map(|t| (t.module, t.other)).collect();
        found.sort_unstable_by_key(|&(module, other)| (module, other.module(), other.ground()));
        found.dedup();
        found
    }

    /// The number of one of its modules in the structure it was.
    pub(crate) fn number(&self, module: ModuleId) -> ModuleId {
        self.left.as_ref().map_or(module, |left| left[module.index()])
    }

    /// Whether its utilisations are worked out as bounds only.
    pub(crate) const fn is_large(&self) -> bool {
        self.wanted.is_large
    }

    /// With a module braced that is not.
    pub(crate) fn bracing(&self, module: ModuleId) -> Self {
        let mut braced = self.clone();
        braced.wanted.there.get_mut(module).hold = Hold::Braced;
        braced
    }

    /// Without a module and all that stands on it, because its bond has let go: what is left, for each set of hops that may be done. Empty where
    /// nothing is left, or where weight alone holds the module.
    pub(crate) fn bond(wanted: &Wanted, module: ModuleId) -> Vec<Self> {
        (0..wanted.hop_variants()).filter_map(|hops_done| rest_without(wanted, module, hops_done)).collect()
    }

    /// The most modules that are gone when the bond of a module lets go, itself among them; 0 if weight alone holds it.
    pub(crate) fn most_gone(wanted: &Wanted, module: ModuleId) -> usize {
        let gone = |hops_done: usize| {
            let there = there_after(wanted, hops_done);
            adheres(wanted, &there, module).then(|| there.carried_with(module).len())
        };
        (0..wanted.hop_variants()).filter_map(gone).max().unwrap_or(0)
    }

    /// The worst of what is known and of this structure over its time.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(crate) fn worse_than(
        &self,
        known: WorstUtilisation,
        interrupt: Interrupt<'_>,
    ) -> Result<WorstUtilisation, Stopped> {
        if self.wanted.moves() {
            return self.stretch().worse_than(known, self.hops_done.clone(), interrupt);
        }
        interrupt.go_on()?;
        let posed = PosedCase::new(self.case_at(0.0, 0));
        let mut worst = known;
        let mut hint = WarmStart::default();
        for direction in 0..DIRECTIONS {
            if posed.uses_at_most(direction, worst.utilisation, &mut hint) {
                continue;
            }
            let here = posed.utilisation(direction);
            if here.is_worse_than(worst.utilisation) {
                (worst.share, worst.hops_done) = (0.0, 0);
            }
            worst.utilisation = worst.utilisation.worse(here);
        }
        Ok(worst)
    }

    /// Whether it is proven to carry its load at every instant within a limit.
    ///
    /// # Errors
    /// When interrupted; the interrupt is polled before every load case.
    pub(crate) fn carries(
        &self,
        limit: f64,
        hint: &mut WarmStart,
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        if self.wanted.moves() {
            return self.stretch().carries_with(self.hops_done.clone(), limit, hint, interrupt);
        }
        interrupt.go_on()?;
        Ok(self.case_at(0.0, 0).carries_warm(limit, hint))
    }

    /// The structure as a crew of its own.
    pub(crate) fn problem(&self) -> &Problem {
        &self.wanted.problem
    }

    /// Where its modules are at a fraction of its time, with some of its hops done.
    pub(crate) fn there(&self, share: f64, hops_done: usize) -> Configuration {
        let mut there = self.stretch().at(share);
        for (bit, (mover, end)) in self.wanted.hops.iter().enumerate() {
            if hops_done >> bit & 1 == 1 {
                *there.get_mut(*mover) = *end;
            }
        }
        there
    }

    /// Its load at a fraction of its time, with some of its hops done.
    pub(crate) fn case_at(&self, share: f64, hops_done: usize) -> LoadCase {
        if self.wanted.moves() {
            return self.stretch().load_at(share, hops_done);
        }
        let mut case = self.wanted.still_load();
        self.missing.take_out(&mut case.touches);
        case
    }

    fn stretch(&self) -> Stretch<'_> {
        self.wanted.stretch().with_missing(self.missing).without_drive_limits()
    }
}

/// The modules of a structure at its beginning, with some of its hops done.
fn there_after(wanted: &Wanted, hops_done: usize) -> Configuration {
    let mut there = wanted.there.clone();
    for (bit, (mover, end)) in wanted.hops.iter().enumerate() {
        if hops_done >> bit & 1 == 1 {
            *there.get_mut(*mover) = *end;
        }
    }
    there
}

/// Whether the bond of a module has adhesion.
fn adheres(wanted: &Wanted, there: &Configuration, module: ModuleId) -> bool {
    let place = there.get(module);
    wanted.problem.adhesion_n(module, place.host, place.hold) > 0.0
}

/// What is left of a structure when the bond of a module lets go while some of the hops are done.
fn rest_without(wanted: &Wanted, module: ModuleId, hops_done: usize) -> Option<Failed> {
    let there = there_after(wanted, hops_done);
    if !adheres(wanted, &there, module) {
        return None;
    }
    let gone = there.carried_with(module);
    let rest: Vec<ModuleId> = wanted.problem.module_ids().filter(|m| !gone.contains(m)).collect();
    if rest.is_empty() {
        return None;
    }
    let is_left = |body: Body| body.module().is_none_or(|host| !gone.contains(&host));
    let mut places: Vec<Placement> = rest.iter().map(|&m| *wanted.there.get(m)).collect();
    let (mut hops, mut done) = (Vec::new(), 0);
    for (bit, &(mover, end)) in wanted.hops.iter().enumerate() {
        let Ok(index) = rest.binary_search(&mover) else { continue };
        done |= (hops_done >> bit & 1) << hops.len();
        // One of its two hosts may be gone: then it stands on the other, and that end is not asked about.
        if !is_left(places[index].host) {
            places[index].host = end.host;
        }
        let end = if is_left(end.host) { end } else { places[index] };
        hops.push((renamed(&rest, mover), Placement { host: renamed_body(&rest, end.host), ..end }));
    }
    let moving: Vec<Underway> = wanted
        .moving
        .iter()
        .filter(|u| !gone.contains(&u.mover))
        .map(|u| u.without(&gone).renamed(|id| renamed(&rest, id)))
        .collect();
    let (problem, there) = alone(&wanted.problem, &rest, &places);
    let is_large =
        wanted.is_large && touches(&problem, &there).len() > super::structure_utilisations::MOST_TOUCHES;
    let gravity = if wanted.moves() { Gravity::UnderWay } else { wanted.gravity };
    let wanted = Wanted { problem, there, is_large, moving, hops, gravity };
    Some(Failed { wanted, hops_done: done..done + 1, missing: Missing::Nothing, left: Some(rest) })
}

impl WorstUtilisation {
    /// Whether nothing balances the structure where it is worst.
    pub(crate) fn is_unbalanced(&self) -> bool {
        !self.utilisation.within(f64::INFINITY)
    }
}
