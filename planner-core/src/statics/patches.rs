//! Load cases with many touches: proofs that they carry, from touch forces that are mended patch by patch.
//!
//! Any touch forces under which every bond carries are a proof, however they were found. So the search begins with forces that are known from a similar
//! case, or none, and where a bond is overloaded the forces of a few touches near it are worked out anew, with all others kept. The overloaded bond
//! that is farthest from the ground comes first: what it is relieved of loads bonds below, which come later.

use super::DIRECTIONS;
use super::bond::Wrench;
use super::case::{LoadCase, Utilisation};
use super::cone_program::Solution;
use super::touching::{Load, TouchProgram};
use super::warm_start::WarmStart;
use crate::math::DVec3;
use std::ops::Range;

/// With more touches than this, forces are mended in patches.
const FEW_TOUCHES: usize = 12;
/// Numbers of touches in a patch: if the first does not do, the next is tried.
const PATCHES: [usize; 2] = [8, 24];
/// Up to this number of touches one programme over all of them is solved where patches do not help.
const MOST_WHOLE: usize = 48;
/// A patch will do as soon as it uses its bonds up to this share of the limit: some reserve helps with similar cases.
const WILL_DO: f64 = 0.8;
/// By more than this, in newtons, nothing is overloaded.
const MOST_OVER_N: f64 = 1e6;

/// Whether a case has so many touches that forces are mended in patches.
pub(super) fn are_many(case: &LoadCase) -> bool {
    case.touches.len() > FEW_TOUCHES && case.lifted.is_empty()
}

/// Whether all bonds carry along some directions.
pub(super) enum Proven {
    /// No proof was found, which does not say that they do not.
    No,
    /// They do, with what forces on the touches add to the wrench of every bond along some directions, and along others.
    With(Vec<(Range<usize>, Vec<Wrench>)>),
    /// They do, for a direction at least by a programme over all touches.
    Otherwise,
}

/// Whether all bonds carry along some directions. `true` is proven; `false` says only that no proof was found.
///
/// Complexity: linear in bonds and touches where known forces do; otherwise a small cone programme for every bond that is overloaded with them.
pub(super) fn carries(case: &LoadCase, directions: Range<usize>, limit: f64, hint: &mut WarmStart) -> bool {
    !matches!(proven(case, directions, limit, hint), Proven::No)
}

/// The same with the proof.
pub(super) fn proven(case: &LoadCase, directions: Range<usize>, limit: f64, hint: &mut WarmStart) -> Proven {
    let is_all = directions.len() == DIRECTIONS;
    let question = Question { case, limit };
    let mut pushed = question.pushed(&hint.forces.on(&case.touches, directions.start));
    if is_all && question.all_carry(&pushed) {
        return Proven::With(vec![(directions, pushed)]);
    }
    let mut parts: Vec<(Range<usize>, Vec<Wrench>)> = Vec::new();
    let mut is_whole = false;
    for direction in directions.clone() {
        if question.overloaded(direction, &pushed).is_none() {
            parts.push((direction..direction + 1, pushed.clone()));
            continue;
        }
        let known = hint.forces.on(&case.touches, direction);
        let nothing = vec![DVec3::ZERO; case.touches.len()];
        let found = [known, nothing].into_iter().find_map(|from| question.mended(direction, from));
        let Some(found) = found else {
            let whole = (case.touches.len() <= MOST_WHOLE).then(|| TouchProgram::new(case));
            if whole.is_some_and(|whole| whole.carries_one_way(case, direction, limit, hint)) {
                is_whole = true;
                continue;
            }
            return Proven::No;
        };
        pushed = question.pushed(&found);
        let is_for_all = is_all && question.all_carry(&pushed);
        let along = if is_for_all { directions.clone() } else { direction..direction + 1 };
        hint.forces.keep(&case.touches, &along, &found);
        if is_for_all {
            return Proven::With(vec![(along, pushed)]);
        }
        parts.push((along, pushed.clone()));
    }
    if is_whole { Proven::Otherwise } else { Proven::With(parts) }
}

/// Whether a bond carries along some directions, with what touches add to its wrench.
pub(super) fn bond_carries_along(
    case: &LoadCase,
    (bond, pushed): (usize, Wrench),
    mut directions: Range<usize>,
    limit: f64,
) -> bool {
    let question = Question { case, limit };
    directions.all(|direction| question.used(direction, bond, pushed).within(limit))
}

/// Whether a case carries within a limit.
struct Question<'a> {
    case: &'a LoadCase,
    limit: f64,
}

impl Question<'_> {
    /// What forces on the touches add to the wrench of every bond.
    fn pushed(&self, forces: &[DVec3]) -> Vec<Wrench> {
        let case = self.case;
        let mut pushed = vec![Wrench { force: DVec3::ZERO, moment: DVec3::ZERO }; case.bonds.len()];
        // First what acts on each module alone, with moments about the origin.
        for (touch, &force) in case.touches.iter().zip(forces).filter(|(_, force)| **force != DVec3::ZERO) {
            let moment = touch.point.cross(force);
            let mut add = |module: crate::model::ModuleId, sign: f64| {
                if let Some(&own) = case.chains[module.index()].first() {
                    pushed[own].force -= force * sign;
                    pushed[own].moment -= moment * sign;
                }
            };
            add(touch.module, 1.0);
            if let Some(other) = touch.other.module() {
                add(other, -1.0);
            }
        }
        for bond in (0..case.bonds.len()).rev() {
            let Wrench { force, moment } = pushed[bond];
            if let Some(&below) = case.chains[case.bonds[bond].child.index()].get(1) {
                pushed[below].force += force;
                pushed[below].moment += moment;
            }
            pushed[bond].moment = moment - case.bonds[bond].sole.cross(force);
        }
        pushed
    }

    /// Whether all bonds carry in all directions with what the same touch forces add to them.
    fn all_carry(&self, pushed: &[Wrench]) -> bool {
        let carries = |(bond, &pushed)| self.case.bond_carries_pushed(bond, pushed, self.limit);
        pushed.iter().enumerate().all(carries)
    }

    /// The wrench of a bond, given what touches add to it.
    fn wrench(&self, direction: usize, bond: usize, pushed: Wrench) -> Wrench {
        let Wrench { force, moment } = self.case.bonds[bond].wrench(self.case.gravity[direction]);
        Wrench { force: force + pushed.force, moment: moment + pushed.moment }
    }

    fn used(&self, direction: usize, bond: usize, pushed: Wrench) -> Utilisation {
        self.case.utilisation_of_bond(bond, self.wrench(direction, bond, pushed))
    }

    /// The overloaded bond that is farthest from the ground.
    fn overloaded(&self, direction: usize, pushed: &[Wrench]) -> Option<usize> {
        (0..pushed.len()).rev().find(|&bond| !self.used(direction, bond, pushed[bond]).within(self.limit))
    }

    /// Forces under which all bonds carry along a direction, from others under which they need not.
    fn mended(&self, direction: usize, mut forces: Vec<DVec3>) -> Option<Vec<DVec3>> {
        // Every patch leaves one bond less that is overloaded.
        for _ in 0..=self.case.bonds.len() {
            let pushed = self.pushed(&forces);
            let Some(target) = self.overloaded(direction, &pushed) else { return Some(forces) };
            let sole = self.case.bonds[target].sole;
            let apart = self.case.touches.iter().map(|touch| touch.point.distance_squared(sole));
            let mut near: Vec<(f64, usize)> = apart.zip(0..).collect();
            near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            forces = PATCHES.into_iter().find_map(|size| {
                let mut patch: Vec<usize> = near.iter().take(size).map(|&(_, touch)| touch).collect();
                patch.sort_unstable();
                self.patched(direction, target, &patch, &forces)
            })?;
        }
        None
    }

    /// The forces with those of some touches worked out anew, so that an overloaded bond carries, and no other is overloaded that was not before.
    fn patched(
        &self,
        direction: usize,
        target: usize,
        touches: &[usize],
        forces: &[DVec3],
    ) -> Option<Vec<DVec3>> {
        let Self { case, limit } = *self;
        let patch = TouchProgram::over(case, touches);
        if !patch.reached.contains(&target) {
            return None;
        }
        let mut new = forces.to_vec();
        let before = self.pushed(forces);
        touches.iter().for_each(|&touch| new[touch] = DVec3::ZERO);
        let others = self.pushed(&new);
        let was_overloaded = |bond: usize| {
            let used = self.used(direction, bond, before[bond]);
            (bond != target && !used.within(limit)).then_some(used)
        };
        let load = |row: usize| {
            let bond = patch.reached[row];
            let weight = self.wrench(direction, bond, others[bond]);
            let Some(Utilisation { value, excess_n }) = was_overloaded(bond) else { return Load::of(weight) };
            // What is overloaded already may stay so.
            let over_drive_n = excess_n.clamp(0.0, MOST_OVER_N);
            let over_n = over_drive_n.max((value - limit) * case.bonds[bond].adhesion_n);
            Load { weight, over_n, over_drive_n }
        };
        let loads: Vec<Load> = (0..patch.reached.len()).map(load).collect();
        let uses_at_most = |pushes: &[f64], most: f64| {
            patch.reached.iter().enumerate().all(|(row, &bond)| {
                was_overloaded(bond).is_some() || {
                    let wrench = patch.relieved(loads[row].weight, row, pushes);
                    case.utilisation_of_bond(bond, wrench).within(most)
                }
            })
        };
        let cones = patch.program_under(case, |row| loads[row], WILL_DO * limit, false);
        let will_do = |x: &[f64]| uses_at_most(&patch.admissible(case, x), WILL_DO * limit);
        let pushes = match cones.solve(limit, will_do) {
            Solution::Optimal(x) | Solution::GoodEnough(x) => patch.admissible(case, &x),
            Solution::Infeasible(_) | Solution::Stuck => return None,
        };
        let found = patch.forces_of(case, &pushes);
        touches.iter().for_each(|&touch| new[touch] = found[touch]);
        uses_at_most(&pushes, limit).then_some(new)
    }
}
