//! Load cases with touches: the least possible largest utilisation over all touch forces.

use super::DIRECTIONS;
use super::balance::Balance;
use super::bond::{LIMIT_SURFACE, Wrench};
use super::case::{Driving, HARD_N, LoadCase, Utilisation};
use super::cone::{Part, WIDEST};
use super::cone_program::{ConeProgram, Solution};
use super::warm_start::WarmStart;
use crate::math::{DVec3, hypot};
use crate::model::Touch;

/// Relative tolerance of the friction cones for known forces: they lie on the cone, up to rounding.
const ON_CONE: f64 = 1e-12;
/// Friction below this counts as zero: the cone would be a ray.
const NO_FRICTION: f64 = 1e-9;

/// The utilisation in one direction.
pub(super) fn utilisation(case: &LoadCase, direction: usize) -> Utilisation {
    TouchProgram::new(case).utilisation(case, direction)
}

/// The bonds whose loads depend on touches, and how. It contains the places of bonds and touches, but not their loads, which belong to the load case.
#[derive(Clone, Debug)]
pub(super) struct TouchProgram {
    /// Unit of force, in newtons.
    pub(super) unit: f64,
    /// For each unknown: touch and direction of its force on the touch's module.
    pub(super) unknowns: Vec<(usize, DVec3)>,
    /// Bonds whose load depends on touches.
    pub(super) reached: Vec<usize>,
    /// The other bonds.
    pub(super) untouched: Vec<usize>,
    /// For each reached bond, the unknowns that act there, and what a unit of each subtracts from its wrench.
    relief: Vec<Vec<(usize, Wrench)>>,
    /// What keeps the forces on feet in the air zero, if there are any; `None` within where the touches cannot.
    pub(super) balance: Option<Option<Balance>>,
}

impl TouchProgram {
    pub(super) fn new(case: &LoadCase) -> Self {
        let all: Vec<usize> = (0..case.touches.len()).collect();
        Self::over(case, &all)
    }

    /// The same over some of the touches only, in ascending order.
    pub(super) fn over(case: &LoadCase, touches: &[usize]) -> Self {
        let total: f64 = case.bonds.iter().filter(|b| b.host.ground().is_some()).map(|b| b.mass_kg).sum();
        let unit = (total * case.gravity[0].length() / case.bonds.len().max(1) as f64).max(f64::MIN_POSITIVE);
        let mut unknowns = Vec::new();
        let mut counts = vec![0; case.bonds.len()];
        for &index in touches {
            let touch = &case.touches[index];
            unknowns.push((index, push_along(touch)));
            if width(touch) == 3 {
                let first = touch.normal.any_orthonormal_vector();
                unknowns.push((index, first));
                unknowns.push((index, touch.normal.cross(first)));
            }
            signed_bonds(case, touch).for_each(|(bond, _)| counts[bond] += width(touch));
        }
        let mut on_bonds: Vec<Vec<(usize, Wrench)>> = counts.into_iter().map(Vec::with_capacity).collect();
        for (unknown, &(index, along)) in unknowns.iter().enumerate() {
            let touch = &case.touches[index];
            for (bond, sign) in signed_bonds(case, touch) {
                let force = along * sign;
                let moment = (touch.point - case.bonds[bond].sole).cross(force);
                on_bonds[bond].push((unknown, Wrench { force, moment }));
            }
        }
        let (reached, untouched): (Vec<usize>, Vec<usize>) =
            (0..case.bonds.len()).partition(|&b| !on_bonds[b].is_empty());
        let relief: Vec<Vec<(usize, Wrench)>> =
            reached.iter().map(|&b| std::mem::take(&mut on_bonds[b])).collect();
        let balance = (!case.lifted.is_empty()).then(|| {
            let rows = reached.iter().enumerate().filter(|(_, bond)| case.lifted.contains(bond));
            let lifted: Vec<(usize, &[(usize, Wrench)])> =
                rows.map(|(row, &bond)| (bond, relief[row].as_slice())).collect();
            if lifted.len() == case.lifted.len() { Balance::new(&lifted, unknowns.len()) } else { None }
        });
        Self { unit, unknowns, reached, untouched, relief, balance }
    }

    /// Whether the load is carried in all directions.
    pub(super) fn carries(&self, case: &LoadCase, limit: f64, hint: &mut WarmStart) -> bool {
        self.untouched_carry(case, limit)
            && (self.known_carry_all_ways(case, limit, hint)
                || (0..DIRECTIONS).all(|direction| self.carries_along(case, direction, limit, hint)))
    }

    /// Whether the reached bonds carry in all directions with the same touch forces, of those that are known.
    pub(super) fn known_carry_all_ways(&self, case: &LoadCase, limit: f64, hint: &mut WarmStart) -> bool {
        hint.pushes.any(|pushes| self.fits(case, pushes) && self.carry_all_ways(case, limit, pushes))
    }

    /// Whether the reached bonds carry in all directions with the same touch forces.
    fn carry_all_ways(&self, case: &LoadCase, limit: f64, pushes: &[f64]) -> bool {
        let none = Wrench { force: DVec3::ZERO, moment: DVec3::ZERO };
        self.reached
            .iter()
            .enumerate()
            .all(|(row, &bond)| case.bond_carries_pushed(bond, self.relieved(none, row, pushes), limit))
    }

    /// Whether the bonds that no touch reaches carry.
    pub(super) fn untouched_carry(&self, case: &LoadCase, limit: f64) -> bool {
        self.untouched.iter().all(|&bond| case.bond_carries(bond, limit))
    }

    /// Whether the reached bonds carry in one direction.
    pub(super) fn carries_along(
        &self,
        case: &LoadCase,
        direction: usize,
        limit: f64,
        hint: &mut WarmStart,
    ) -> bool {
        let will_do = |pushes: &[f64]| self.reached_carry(case, direction, limit, pushes);
        let gravity = case.gravity[direction];
        let bare =
            |&bond: &usize| case.utilisation_of_bond(bond, case.bonds[bond].wrench(gravity)).within(limit);
        if self.reached.iter().all(bare) {
            return true;
        }
        let known = |pushes: &Vec<f64>| self.fits(case, pushes) && will_do(pushes);
        if hint.pushes.any(known) {
            return true;
        }
        let Some(posed) = self.posed(case, direction, false) else { return false };
        if hint.refusals.any(|z| posed.cones.is_refused_by(z, limit)) {
            return false;
        }
        match posed.cones.solve(limit, |x| will_do(&self.admissible(case, &posed.forces(x)))) {
            Solution::Optimal(x) | Solution::GoodEnough(x) => {
                let pushes = self.admissible(case, &posed.forces(&x));
                let carried = will_do(&pushes);
                if carried {
                    hint.pushes.add(pushes);
                }
                carried
            }
            Solution::Infeasible(certificate) => {
                hint.refusals.add(certificate);
                false
            }
            Solution::Stuck => false,
        }
    }

    /// Whether the load is carried along one direction.
    pub(super) fn carries_one_way(
        &self,
        case: &LoadCase,
        direction: usize,
        limit: f64,
        hint: &mut WarmStart,
    ) -> bool {
        self.untouched_utilisation(case, direction).within(limit)
            && self.carries_along(case, direction, limit, hint)
    }

    /// The utilisation in a direction, by solving the programme.
    pub(super) fn utilisation(&self, case: &LoadCase, direction: usize) -> Utilisation {
        let outside = self.untouched_utilisation(case, direction);
        match self.solve(case, direction) {
            Some(pushes) => self.reached_utilisation(case, direction, &pushes).worse(outside),
            None => Utilisation { excess_n: f64::INFINITY, ..outside },
        }
    }

    /// The wrench of every bond in an equilibrium that minimises the largest utilisation, in the order of the case's bonds; with `soft`, the
    /// violation of the hard conditions is minimised instead.
    pub(super) fn balance(&self, case: &LoadCase, direction: usize, soft: bool) -> Option<Vec<Wrench>> {
        let posed = self.posed(case, direction, soft)?;
        let pushes = match posed.cones.solve(f64::INFINITY, |_| false) {
            Solution::Optimal(x) | Solution::GoodEnough(x) => self.admissible(case, &posed.forces(&x)),
            Solution::Infeasible(_) | Solution::Stuck => return None,
        };
        let gravity = case.gravity[direction];
        let mut wrenches: Vec<Wrench> = case.bonds.iter().map(|b| b.wrench(gravity)).collect();
        for (row, &bond) in self.reached.iter().enumerate() {
            wrenches[bond] = self.wrench_under(case, direction, row, &pushes);
        }
        Some(wrenches)
    }

    /// The utilisation of the bonds that no touch reaches.
    fn untouched_utilisation(&self, case: &LoadCase, direction: usize) -> Utilisation {
        let gravity = case.gravity[direction];
        self.untouched
            .iter()
            .map(|&b| case.utilisation_of_bond(b, case.bonds[b].wrench(gravity)))
            .fold(Utilisation::NOTHING, Utilisation::worse)
    }

    /// Optimal touch forces in newtons, or `None` if none meet the hard conditions.
    fn solve(&self, case: &LoadCase, direction: usize) -> Option<Vec<f64>> {
        let posed = self.posed(case, direction, false)?;
        match posed.cones.solve(f64::INFINITY, |_| false) {
            Solution::Optimal(x) | Solution::GoodEnough(x) => {
                let pushes = self.admissible(case, &posed.forces(&x));
                let outside = self.untouched_utilisation(case, direction);
                let utilisation = self.reached_utilisation(case, direction, &pushes).worse(outside);
                (utilisation.excess_n <= HARD_N).then_some(pushes)
            }
            Solution::Infeasible(_) | Solution::Stuck => None,
        }
    }

    /// Touch forces in newtons from a solution, projected into their friction cones against rounding.
    pub(super) fn admissible(&self, case: &LoadCase, x: &[f64]) -> Vec<f64> {
        let mut pushes: Vec<f64> = x[..self.unknowns.len()].iter().map(|v| v * self.unit).collect();
        let mut first = 0;
        while first < pushes.len() {
            let touch = self.unknowns[first].0;
            let width = width(&case.touches[touch]);
            pushes[first] = pushes[first].max(0.0);
            if width == 3 {
                let most = case.touches[touch].friction * pushes[first];
                let rub = hypot(pushes[first + 1], pushes[first + 2]);
                if rub > most {
                    let share = if rub > 0.0 { most / rub } else { 0.0 };
                    pushes[first + 1] *= share;
                    pushes[first + 2] *= share;
                }
            }
            first += width;
        }
        pushes
    }

    /// The forces on the modules of the touches, in newtons.
    pub(super) fn forces_of(&self, case: &LoadCase, pushes: &[f64]) -> Vec<DVec3> {
        let mut forces = vec![DVec3::ZERO; case.touches.len()];
        for ((touch, along), push) in self.unknowns.iter().zip(pushes) {
            forces[*touch] += *along * *push;
        }
        forces
    }

    /// Whether forces found for another case match the unknowns of this one and lie in its friction cones.
    fn fits(&self, case: &LoadCase, pushes: &[f64]) -> bool {
        let is_within = |(first, &(touch, direction)): (usize, &(usize, DVec3))| {
            let touch = &case.touches[touch];
            let (normal, friction) = (push_along(touch), touch.friction);
            if direction != normal {
                return true; // checked with its normal
            }
            let rub = if width(touch) == 3 { hypot(pushes[first + 1], pushes[first + 2]) } else { 0.0 };
            rub <= friction * pushes[first] * (1.0 + ON_CONE)
        };
        pushes.len() == self.unknowns.len() && self.unknowns.iter().enumerate().all(is_within)
    }

    /// Utilisation of the reached bonds under given touch forces.
    fn reached_utilisation(&self, case: &LoadCase, direction: usize, pushes: &[f64]) -> Utilisation {
        (0..self.reached.len())
            .map(|row| {
                let wrench = self.wrench_under(case, direction, row, pushes);
                case.utilisation_of_bond(self.reached[row], wrench)
            })
            .fold(Utilisation::NOTHING, Utilisation::worse)
    }

    /// Whether the reached bonds carry under given touch forces.
    pub(super) fn reached_carry(
        &self,
        case: &LoadCase,
        direction: usize,
        limit: f64,
        pushes: &[f64],
    ) -> bool {
        self.reached.iter().enumerate().all(|(row, &bond)| {
            case.utilisation_of_bond(bond, self.wrench_under(case, direction, row, pushes)).within(limit)
        })
    }

    pub(super) fn wrench_under(
        &self,
        case: &LoadCase,
        direction: usize,
        row: usize,
        pushes: &[f64],
    ) -> Wrench {
        self.relieved(case.bonds[self.reached[row]].wrench(case.gravity[direction]), row, pushes)
    }

    /// The wrench of a reached bond minus the contribution of the touch forces.
    pub(super) fn relieved(&self, mut wrench: Wrench, row: usize, pushes: &[f64]) -> Wrench {
        for &(unknown, relief) in &self.relief[row] {
            wrench.force -= relief.force * pushes[unknown];
            wrench.moment -= relief.moment * pushes[unknown];
        }
        wrench
    }

    /// The programme in units of [`unit`](Self::unit); the unknowns are the touch forces and the utilisation.
    fn program(&self, case: &LoadCase, direction: usize, soft: bool) -> ConeProgram {
        let gravity = case.gravity[direction];
        let load = |row: usize| Load::of(case.bonds[self.reached[row]].wrench(gravity));
        let floor = self.untouched_utilisation(case, direction).value.min(1e6);
        self.program_under(case, load, floor, soft)
    }

    /// The same under given loads of the reached bonds; the utilisation is at least `floor`.
    pub(super) fn program_under(
        &self,
        case: &LoadCase,
        load: impl Fn(usize) -> Load,
        floor: f64,
        soft: bool,
    ) -> ConeProgram {
        let last = self.unknowns.len();
        let mut cost = vec![0.0; last + 1];
        cost[last] = 1.0;
        let mut rows = ConeProgram::new(cost);
        self.push_friction_cones(case, &mut rows);
        for (row, &index) in self.reached.iter().enumerate().filter(|(_, i)| !case.lifted.contains(i)) {
            let bond = &case.bonds[index];
            let Load { weight, over_n, over_drive_n } = load(row);
            let [peel_margin, slip_margin] = case.margin.get(index).copied().unwrap_or_default();
            let share =
                if bond.adhesion_n > 0.0 { bond.adhesion_n / self.unit } else { f64::from(u8::from(soft)) };
            let first = bond.normal.any_orthonormal_vector();
            let second = bond.normal.cross(first);
            let grip = LIMIT_SURFACE * bond.friction.max(NO_FRICTION);

            let peel = |w: Wrench| {
                let tilt = |axis| w.moment.dot(axis) / (bond.peel_m * self.unit);
                [w.force.dot(bond.normal) / self.unit, tilt(first), tilt(second), 0.0]
            };
            self.push_bond_cone(&mut rows, row, weight, peel, [(over_n - peel_margin) / self.unit, share]);

            let slip = |w: Wrench| {
                let rub = |axis| w.force.dot(axis) / self.unit;
                let spin = w.moment.dot(bond.normal) / (bond.spin_m * self.unit);
                [grip * w.force.dot(bond.normal) / self.unit, rub(first), rub(second), spin]
            };
            self.push_bond_cone(
                &mut rows,
                row,
                weight,
                slip,
                [grip * (over_n - slip_margin) / self.unit, grip * share],
            );

            for &(driven, driving, limit) in case.driven.iter().filter(|d| d.0 == index) {
                let extra = slip_margin * case.bonds[driven].friction;
                let give = f64::from(u8::from(soft));
                match driving {
                    Driving::Slide => {
                        let drive = |w: Wrench| {
                            [0.0, w.force.dot(first) / self.unit, w.force.dot(second) / self.unit, 0.0]
                        };
                        self.push_bond_cone(
                            &mut rows,
                            row,
                            weight,
                            drive,
                            [(limit - extra + over_drive_n) / self.unit, give],
                        );
                    }
                    Driving::Yaw => {
                        let turn = |w: Wrench| {
                            [0.0, w.moment.dot(bond.normal) / (bond.spin_m * self.unit), 0.0, 0.0]
                        };
                        self.push_bond_cone(
                            &mut rows,
                            row,
                            weight,
                            turn,
                            [(limit / bond.spin_m - extra + over_drive_n) / self.unit, give],
                        );
                    }
                }
            }
        }
        rows.push([-floor, 0.0, 0.0, 0.0], [(last, [-1.0, 0.0, 0.0, 0.0])]);
        rows
    }

    /// The programme with the forces on feet in the air eliminated; `None` where touches cannot balance them.
    pub(super) fn posed(&self, case: &LoadCase, direction: usize, soft: bool) -> Option<PosedProgram> {
        let cones = self.program(case, direction, soft);
        let Some(balance) = &self.balance else { return Some(PosedProgram { cones, free: None }) };
        let balance = balance.as_ref()?;
        let gravity = case.gravity[direction];
        let base = balance.forces(|bond| case.bonds[bond].wrench(gravity));
        let base: Vec<f64> = base.into_iter().map(|force| force / self.unit).collect();
        let cones = cones.restricted(&base, &balance.free);
        Some(PosedProgram { cones, free: Some((base, balance.free.clone())) })
    }

    fn push_friction_cones(&self, case: &LoadCase, rows: &mut ConeProgram) {
        let mut first = 0;
        while first < self.unknowns.len() {
            let touch = &case.touches[self.unknowns[first].0];
            let friction = touch.friction;
            if width(touch) == 3 {
                let columns = [
                    (first, [-friction, 0.0, 0.0, 0.0]),
                    (first + 1, [0.0, -1.0, 0.0, 0.0]),
                    (first + 2, [0.0, 0.0, -1.0, 0.0]),
                ];
                rows.push([0.0; WIDEST], columns);
                first += 3;
            } else {
                rows.push([0.0; WIDEST], [(first, [-1.0, 0.0, 0.0, 0.0])]);
                first += 1;
            }
        }
    }

    /// Adds a cone on a linear image of one bond's wrench; `head` is a constant and the factor of the utilisation in its first entry.
    fn push_bond_cone(
        &self,
        rows: &mut ConeProgram,
        row: usize,
        weight: Wrench,
        image: impl Fn(Wrench) -> Part,
        head: [f64; 2],
    ) {
        let mut right = image(weight);
        right[0] += head[0];
        // The unknowns are in units of force, and they are subtracted from the wrench: s = h − G x.
        let columns = self.relief[row].iter().map(|&(unknown, Wrench { force, moment })| {
            (unknown, image(Wrench { force: force * self.unit, moment: moment * self.unit }))
        });
        rows.push(right, columns.chain([(self.unknowns.len(), [-head[1], 0.0, 0.0, 0.0])]));
    }
}

/// What a bond has to carry apart from the unknown touch forces.
#[derive(Clone, Copy, Debug)]
pub(super) struct Load {
    pub(super) weight: Wrench,
    /// What its demand may exceed its share of the adhesion by, in newtons.
    pub(super) over_n: f64,
    /// What the forces on it may exceed a drive limit by, in newtons.
    pub(super) over_drive_n: f64,
}

impl Load {
    pub(super) const fn of(weight: Wrench) -> Self {
        Self { weight, over_n: 0.0, over_drive_n: 0.0 }
    }
}

/// A programme, and how its unknowns give the touch forces.
pub(super) struct PosedProgram {
    pub(super) cones: ConeProgram,
    /// Touch forces that balance the feet in the air, and the changes of them that keep the balance, in units of force.
    pub(super) free: Option<(Vec<f64>, Vec<Vec<f64>>)>,
}

impl PosedProgram {
    /// The touch forces of a solution, in units of force.
    pub(super) fn forces(&self, x: &[f64]) -> Vec<f64> {
        let Some((base, free)) = &self.free else { return x.to_vec() };
        let mut forces = base.clone();
        for (change, share) in free.iter().zip(x) {
            forces.iter_mut().zip(change).for_each(|(force, along)| *force += along * share);
        }
        forces
    }
}

/// Number of unknowns of a touch: its normal force, and two of friction where it can be in any direction.
pub(super) fn width(touch: &Touch) -> usize {
    if touch.slipping.is_none() && touch.friction > NO_FRICTION { 3 } else { 1 }
}

/// The force on the module for every newton of a touch's normal force, without free friction.
pub(super) fn push_along(touch: &Touch) -> DVec3 {
    touch.slipping.unwrap_or(touch.normal)
}

/// The bonds that carry a touch: +1 for those that carry its force on its module, −1 for those that carry the reaction; bonds that carry both or
/// neither are left out.
pub(super) fn signed_bonds<'a>(
    case: &'a LoadCase,
    touch: &Touch,
) -> impl Iterator<Item = (usize, f64)> + use<'a> {
    let own = case.chains[touch.module.index()].as_slice();
    let others = touch.other.module().map_or(&[][..], |other| &case.chains[other.index()]);
    // Chains end alike from the first body on that they share.
    let shared = own.iter().rev().zip(others.iter().rev()).take_while(|(a, b)| a == b).count();
    let pushed = own[..own.len() - shared].iter().map(|&bond| (bond, 1.0));
    pushed.chain(others[..others.len() - shared].iter().map(|&bond| (bond, -1.0)))
}
