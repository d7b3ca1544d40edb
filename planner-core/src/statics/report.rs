//! The load report: utilisation and failure mode of every bond, and the reason when the load is not carried.

use super::bond::{Demand, FailureMode};
use super::case::{LoadCase, Utilisation};
use super::touching::TouchProgram;
use super::{DIRECTIONS, Reason};
use crate::model::{Body, ModuleId, Problem};

/// Whether the load is carried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadStatus {
    /// Equilibrium exists, and no bond is used beyond the limit.
    Carried,
    /// Equilibrium exists only with some bond used beyond the limit.
    OverLimit,
    /// No forces meet the hard conditions: some part tips or slips without adhesion to hold it.
    NoEquilibrium,
}

impl LoadStatus {
    /// The name in files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Carried => "carried",
            Self::OverLimit => "over_limit",
            Self::NoEquilibrium => "no_equilibrium",
        }
    }
}

/// The load on one bond, worst over the directions.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct BondReport {
    /// The module whose bond it is.
    pub child: ModuleId,
    /// Its host.
    pub host: Body,
    /// Adhesion, in newtons.
    pub adhesion_n: f64,
    /// Utilisation; `None` for a bond without adhesion. With touches it belongs to one equilibrium that is best for the worst bond.
    pub utilisation: Option<f64>,
    /// Demand: the least adhesion at which the bond holds, in newtons; negative when weight alone suffices.
    pub needs_n: f64,
    /// The failure mode nearest to its limit.
    pub governs: FailureMode,
    /// The direction of gravity in which it is worst.
    pub direction: usize,
}

/// The drive force or yaw torque that a mover needs, worst over the directions, in the equilibrium that the bonds are reported for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DriveReport {
    /// The mover.
    pub child: ModuleId,
    /// Its host.
    pub host: Body,
    /// [`FailureMode::Drive`] or [`FailureMode::Turn`].
    pub governs: FailureMode,
    /// The demand: the force along the surface in newtons, or the torque about the normal in N·m.
    pub needs: f64,
    /// The capacity, in the same unit.
    pub limit: f64,
}

/// The report on one load case.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct LoadReport {
    /// Whether the load is carried.
    pub status: LoadStatus,
    /// Least possible largest utilisation, worst over the directions; `None` without equilibrium.
    pub utilisation: Option<f64>,
    /// Every bond, hosts before children.
    pub bonds: Vec<BondReport>,
    /// Every mover that slides or yaws.
    pub drives: Vec<DriveReport>,
    /// The bond that fails first; `None` if the load is carried.
    pub reason: Option<Reason>,
}

/// The full report on a load case.
///
/// Complexity: nine cone programmes when there are touches, otherwise linear in the bonds.
#[must_use]
pub fn assess(problem: &Problem, case: &LoadCase) -> LoadReport {
    let limit = problem.limits.utilisation();
    let program = (!case.touches.is_empty()).then(|| TouchProgram::new(case));
    let mut bonds: Vec<BondReport> = Vec::new();
    let mut drives: Vec<DriveReport> = Vec::new();
    let mut utilisation = Some(0.0_f64);
    let mut worst: Option<(f64, Reason)> = None;
    for direction in 0..DIRECTIONS {
        let here = program
            .as_ref()
            .map_or_else(|| case.utilisation(direction), |program| program.utilisation(case, direction));
        let balanced = here.within(f64::INFINITY);
        utilisation = if balanced { utilisation.map(|u| u.max(here.value)) } else { None };
        let wrenches = program.as_ref().and_then(|p| p.balance(case, direction, !balanced));
        let gravity = case.gravity[direction];
        for (index, bond) in case.bonds.iter().enumerate().filter(|(index, _)| !case.lifted.contains(index)) {
            let wrench = wrenches.as_ref().map_or_else(|| bond.wrench(gravity), |w| w[index]);
            let demand = bond.demand(wrench);
            record(&mut bonds, bond_report(case, index, demand, direction));
            record_drive(&mut drives, case, index, wrench);
            if !here.within(limit) {
                for (severity, reason) in failures(case, index, wrench, demand, direction, limit) {
                    if worst.is_none_or(|(w, _)| severity > w) {
                        worst = Some((severity, reason));
                    }
                }
            }
        }
    }
    let status = match utilisation {
        None => LoadStatus::NoEquilibrium,
        Some(u) if (Utilisation { value: u, excess_n: f64::NEG_INFINITY }).within(limit) => {
            LoadStatus::Carried
        }
        Some(_) => LoadStatus::OverLimit,
    };
    let reason = worst.map(|(_, r)| r).filter(|_| status != LoadStatus::Carried);
    LoadReport { status, utilisation, bonds, drives, reason }
}

/// The largest tilt of gravity, in radians, at which the case still carries its load, to 1e-4 rad; `None` if it does not carry it without tilt.
#[must_use]
pub fn tilt_survived_rad(problem: &Problem, case: &LoadCase) -> Option<f64> {
    let limit = problem.limits.utilisation();
    let holds = |sway: f64| case.clone().with_sway(sway).carries(limit);
    if !holds(0.0) {
        return None;
    }
    let (mut low, mut high) = (0.0, std::f64::consts::FRAC_PI_2 - case.rough_rad);
    if holds(high) {
        return Some(high);
    }
    while high - low > 1e-5 {
        let middle = 0.5 * (low + high);
        if holds(middle) { low = middle } else { high = middle }
    }
    Some(low)
}

fn bond_report(case: &LoadCase, index: usize, demand: Demand, direction: usize) -> BondReport {
    let bond = &case.bonds[index];
    let needs_n = demand.worst_n();
    let utilisation = (bond.adhesion_n > 0.0).then(|| (needs_n / bond.adhesion_n).max(0.0));
    BondReport {
        child: bond.child,
        host: bond.host,
        adhesion_n: bond.adhesion_n,
        utilisation,
        needs_n,
        governs: demand.governs(),
        direction,
    }
}

fn record(bonds: &mut Vec<BondReport>, report: BondReport) {
    match bonds.iter_mut().find(|known| known.child == report.child) {
        None => bonds.push(report),
        Some(known) if report.needs_n > known.needs_n => *known = report,
        Some(_) => {}
    }
}

fn record_drive(drives: &mut Vec<DriveReport>, case: &LoadCase, index: usize, wrench: super::bond::Wrench) {
    let bond = &case.bonds[index];
    for &(_, driving, limit) in case.driven.iter().filter(|driven| driven.0 == index) {
        let (excess, governs) = case.driving_excess(index, wrench, driving, limit);
        let excess = if governs == FailureMode::Turn { excess * bond.spin_m } else { excess };
        let report =
            DriveReport { child: bond.child, host: bond.host, governs, needs: limit + excess, limit };
        match drives.iter_mut().find(|known| known.child == report.child) {
            Some(known) if report.needs > known.needs => *known = report,
            Some(_) => {}
            None => drives.push(report),
        }
    }
}

/// The violated conditions of one bond, each with its relative excess.
fn failures(
    case: &LoadCase,
    index: usize,
    wrench: super::bond::Wrench,
    demand: Demand,
    direction: usize,
    limit: f64,
) -> Vec<(f64, Reason)> {
    let bond = &case.bonds[index];
    let mut found = Vec::new();
    let holds = bond.adhesion_n * limit;
    let needs = demand.worst_n();
    if needs > holds {
        let weight = bond.mass_kg * case.gravity[direction].length();
        let severity = (needs - holds) / holds.max(weight).max(f64::MIN_POSITIVE);
        found.push((severity, Reason::of_bond(bond, demand.governs(), needs, holds, direction)));
    }
    for &(driven, driving, limit) in case.driven.iter().filter(|d| d.0 == index) {
        let (excess, governs) = case.driving_excess(driven, wrench, driving, limit);
        if excess > 0.0 {
            let excess = if governs == FailureMode::Turn { excess * bond.spin_m } else { excess };
            found.push((
                excess / limit.max(f64::MIN_POSITIVE),
                Reason::of_bond(bond, governs, limit + excess, limit, direction),
            ));
        }
    }
    found
}
