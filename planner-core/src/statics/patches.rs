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
use crate::model::Touch;
use std::ops::Range;

/// With more touches than this, forces are mended in patches.
const FEW_TOUCHES: usize = 12;
/// Numbers of touches in a patch: if the first does not do, the next is tried.
const PATCHES: [usize; 3] = [8, 16, 32];
/// Up to this number of touches one programme over all of them is solved where patches do not help.
const MOST_WHOLE: usize = 48;
/// A patch will do as soon as it uses its bonds up to this share of the limit: some reserve helps with similar cases.
const WILL_DO: f64 = 0.8;
/// By more than this, in newtons, nothing is overloaded.
const MOST_OVER_N: f64 = 1e6;

impl TouchProgram {
    /// Whether there are so many touches that forces are mended in patches.
    pub(super) fn is_large(&self, case: &LoadCase) -> bool {
        case.touches.len() > FEW_TOUCHES && self.balance.is_none()
    }

    /// Whether the reached bonds carry along some directions. `true` is proven; `false` says only that no proof was found.
    pub(super) fn carries_in_patches(
        &self,
        case: &LoadCase,
        directions: Range<usize>,
        limit: f64,
        hint: &mut WarmStart,
    ) -> bool {
        let mut pushes = hint.forces.on(self, case, directions.start);
        if directions.len() == DIRECTIONS && self.carry_all_ways(case, limit, &pushes) {
            return true;
        }
        for direction in directions.clone() {
            if self.reached_carry(case, direction, limit, &pushes) {
                continue;
            }
            let known = hint.forces.on(self, case, direction);
            let nothing = vec![0.0; self.unknowns.len()];
            let Some(found) = [known, nothing].into_iter().find_map(|from| self.mended(case, direction, limit, from))
            else {
                if case.touches.len() <= MOST_WHOLE && self.whole_carries_along(case, direction, limit, hint) {
                    continue;
                }
                return false;
            };
            let is_for_all = directions.len() == DIRECTIONS && self.carry_all_ways(case, limit, &found);
            let proven = if is_for_all { directions.clone() } else { direction..direction + 1 };
            hint.forces.keep(self, case, proven, &found);
            if is_for_all {
                return true;
            }
            pushes = found;
        }
        true
    }

    /// Forces under which the reached bonds carry along a direction, from others under which they need not.
    fn mended(&self, case: &LoadCase, direction: usize, limit: f64, mut pushes: Vec<f64>) -> Option<Vec<f64>> {
        // Every patch leaves one bond less that is overloaded.
        for _ in 0..=self.reached.len() {
            let used = |row: usize| {
                let wrench = self.wrench_under(case, direction, row, &pushes);
                case.utilisation_of_bond(self.reached[row], wrench)
            };
            let used: Vec<Utilisation> = (0..self.reached.len()).map(used).collect();
            let Some(row) = used.iter().rposition(|used| !used.within(limit)) else { return Some(pushes) };
            let sole = case.bonds[self.reached[row]].sole;
            let mut near: Vec<(f64, usize)> =
                case.touches.iter().map(|t| t.point.distance_squared(sole)).zip(0..).collect();
            near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let sizes = PATCHES.iter().map(|&size| size.min(near.len()));
            pushes = sizes.into_iter().find_map(|size| {
                let touches: Vec<usize> = near[..size].iter().map(|&(_, touch)| touch).collect();
                self.patched(case, direction, limit, (row, &used), &touches, &pushes)
            })?;
        }
        None
    }

    /// The forces with those of some touches worked out anew, so that an overloaded bond carries, and no other is overloaded that was not before.
    fn patched(
        &self,
        case: &LoadCase,
        direction: usize,
        limit: f64,
        (target, used): (usize, &[Utilisation]),
        touches: &[usize],
        pushes: &[f64],
    ) -> Option<Vec<f64>> {
        let mut others = pushes.to_vec();
        let mut number = vec![usize::MAX; pushes.len()];
        let mut free = Vec::new();
        for (unknown, (touch, _)) in self.unknowns.iter().enumerate() {
            if touches.contains(touch) {
                (others[unknown], number[unknown]) = (0.0, free.len());
                free.push(unknown);
            }
        }
        let own = |relief: &[(usize, Wrench)]| -> Vec<(usize, Wrench)> {
            let free = relief.iter().filter(|(unknown, _)| number[*unknown] != usize::MAX);
            free.map(|&(unknown, wrench)| (number[unknown], wrench)).collect()
        };
        let (rows, relief): (Vec<usize>, Vec<Vec<(usize, Wrench)>>) = (0..self.reached.len())
            .map(|row| (row, own(&self.relief[row])))
            .filter(|(_, relief)| !relief.is_empty())
            .unzip();
        if !rows.contains(&target) {
            return None;
        }
        let patch = Self {
            unit: self.unit,
            unknowns: free.iter().map(|&unknown| self.unknowns[unknown]).collect(),
            reached: rows.iter().map(|&row| self.reached[row]).collect(),
            untouched: Vec::new(),
            relief,
            balance: None,
        };
        let load = |at: usize| {
            let weight = self.wrench_under(case, direction, rows[at], &others);
            let spared = rows[at] != target && !used[rows[at]].within(limit);
            let bond = &case.bonds[patch.reached[at]];
            let [over_n, over_drive_n] = if spared {
                // What is overloaded already may stay so.
                let Utilisation { value, excess_n } = used[rows[at]];
                let over_n = excess_n.clamp(0.0, MOST_OVER_N);
                [over_n.max((value - limit) * bond.adhesion_n), over_n]
            } else {
                [0.0; 2]
            };
            Load { weight, over_n, over_drive_n }
        };
        let loads: Vec<Load> = (0..rows.len()).map(load).collect();
        let cones = patch.program_under(case, |row| loads[row], WILL_DO * limit, false);
        let uses_at_most = |pushes: &[f64], most: f64| {
            rows.iter().enumerate().all(|(at, &row)| {
                let was_overloaded = row != target && !used[row].within(limit);
                was_overloaded || {
                    let wrench = patch.relieved(loads[at].weight, at, pushes);
                    case.utilisation_of_bond(patch.reached[at], wrench).within(most)
                }
            })
        };
        let found = |x: &[f64]| patch.admissible(case, x);
        let forces = match cones.solve(limit, |x| uses_at_most(&found(x), WILL_DO * limit)) {
            Solution::Optimal(x) | Solution::GoodEnough(x) => found(&x),
            Solution::Infeasible(_) | Solution::Stuck => return None,
        };
        if !uses_at_most(&forces, limit) {
            return None;
        }
        for (unknown, force) in free.into_iter().zip(forces) {
            others[unknown] = force;
        }
        Some(others)
    }

    /// The unknowns for given forces on the modules of the touches, within the friction cones.
    pub(super) fn pushes_of(&self, case: &LoadCase, force: impl Fn(&Touch) -> DVec3) -> Vec<f64> {
        let along = |&(touch, direction): &(usize, DVec3)| {
            let touch = &case.touches[touch];
            let scale = if touch.slipping.is_some() { direction.length_squared() } else { 1.0 };
            force(touch).dot(direction) / scale / self.unit
        };
        let x: Vec<f64> = self.unknowns.iter().map(along).collect();
        self.admissible(case, &x)
    }

    /// The forces on the modules of the touches.
    pub(super) fn forces_of(&self, case: &LoadCase, pushes: &[f64]) -> Vec<DVec3> {
        let mut forces = vec![DVec3::ZERO; case.touches.len()];
        for (&(touch, direction), push) in self.unknowns.iter().zip(pushes) {
            forces[touch] += direction * *push;
        }
        forces
    }
}
