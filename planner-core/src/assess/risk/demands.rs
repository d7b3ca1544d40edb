//! What every bond needs over the time of a structure, what holds it, and how both scatter.

use super::BondChance;
use super::scatter::{Scatter, Spread};
use super::union::HalfSpace;
use crate::check::Stances;
use crate::control::{Interrupt, Stopped};
use crate::math::{DVec3, normal_below};
use crate::model::{Body, Hold, ModuleId, Problem};
use crate::motion::WorstUtilisation;
use crate::motion::bond_needs::{BondNeed, bond_needs};
use crate::motion::structure_failures::Failed;
use crate::statics::BondLoad;

/// Independent standard normal numbers for each module: magnet, cup, mass, and its place along three axes.
pub(super) const NUMBERS: usize = 6;
const MAGNET: usize = 0;
const CUP: usize = 1;
const MASS: usize = 2;
const PLACE: usize = 3;

/// What one bond needs in one hold, at the instant that matters.
#[derive(Clone, Debug)]
pub(super) struct Demand {
    module: ModuleId,
    /// Mean and standard deviation of the magnet force and of the cup force, where they count; else 0.
    pub(super) magnet: [f64; 2],
    pub(super) cup: [f64; 2],
    pub(super) need_n: f64,
    /// Change of the need for one standard deviation of each number, by the number's index.
    changes: Vec<(usize, f64)>,
    at_s: f64,
    pub(super) is_bound: bool,
}

impl Demand {
    pub(super) const fn module(&self) -> ModuleId {
        self.module
    }

    /// Whether two demands are on the same parts of the same module.
    pub(super) fn is_of(&self, other: &Self) -> bool {
        let parts = |demand: &Self| (demand.module, demand.magnet[0] > 0.0, demand.cup[0] > 0.0);
        parts(self) == parts(other)
    }

    /// How many standard deviations it is from failing.
    pub(super) fn margin(&self) -> f64 {
        let mean = self.magnet[0] + self.cup[0] - self.need_n;
        let changes: f64 = self.changes.iter().map(|(_, change)| change * change).sum();
        let deviation = (self.magnet[1].powi(2) + self.cup[1].powi(2) + changes).sqrt();
        if deviation > 0.0 {
            mean / deviation
        } else if mean >= 0.0 {
            f64::INFINITY
        } else {
            f64::NEG_INFINITY
        }
    }

    /// The chance that it is not met.
    pub(super) fn chance(&self) -> f64 {
        normal_below(-self.margin())
    }

    /// The numbers with which it is not met.
    pub(super) fn half_space(&self) -> HalfSpace {
        let first = self.module.index() * NUMBERS;
        let mut weights = vec![(first + MAGNET, self.magnet[1]), (first + CUP, self.cup[1])];
        weights.extend(self.changes.iter().map(|&(number, change)| (number, -change)));
        HalfSpace::new(self.magnet[0] + self.cup[0] - self.need_n, weights)
    }

    pub(super) fn told(&self) -> BondChance {
        BondChance {
            module: self.module,
            chance: self.chance(),
            needs_n: self.need_n,
            holds_n: self.magnet[0] + self.cup[0],
            at_s: self.at_s,
            braced: self.cup[0] > 0.0,
            is_bound: self.is_bound,
        }
    }
}

/// The demands of a structure, by its number.
///
/// # Errors
/// When interrupted; the interrupt is polled before every load case.
pub(super) fn demands(
    stances: &Stances<'_>,
    number: usize,
    scatter: &Scatter,
    interrupt: Interrupt<'_>,
) -> Result<Vec<Demand>, Stopped> {
    let failed = Failed::nothing(stances.get(number));
    let members = stances.members(number);
    let name = |module: ModuleId| members[module.index()];
    let problem = failed.problem();
    if let Some(needs) = bond_needs(&failed, interrupt)? {
        let demand = |need: &BondNeed| {
            let (magnet, cup) = strengths(problem, need.child, need.host, failed.hold(need.child), scatter);
            Demand {
                module: name(need.child),
                magnet,
                cup,
                need_n: need.need_n,
                changes: changes(&failed, need, scatter, name),
                at_s: stances.time_s(number, need.share),
                is_bound: false,
            }
        };
        return Ok(needs.iter().filter(|need| need.need_n > 0.0).map(demand).collect());
    }
    let (used, share) = if failed.is_large() {
        (problem.limits.utilisation(), 0.0)
    } else {
        let found = failed.worse_than(WorstUtilisation::NOTHING, interrupt)?;
        (found.utilisation.value, found.share)
    };
    let mut found: Vec<Demand> = Vec::new();
    for hops_done in failed.hops_done() {
        for bond in failed.case_at(0.0, hops_done).bonds.iter().filter(|bond| bond.adhesion_n > 0.0) {
            let hold = failed.hold(bond.child);
            let (magnet, cup) = strengths(problem, bond.child, bond.host, hold, scatter);
            let need_n = used * problem.adhesion_n(bond.child, bond.host, hold);
            let at_s = stances.time_s(number, share);
            let module = name(bond.child);
            found.push(Demand { module, magnet, cup, need_n, changes: Vec::new(), at_s, is_bound: true });
        }
    }
    Ok(found)
}

/// Mean and standard deviation of magnet and cup where they hold a module on a host; 0 where they do not.
fn strengths(
    problem: &Problem,
    module: ModuleId,
    host: Body,
    hold: Hold,
    scatter: &Scatter,
) -> ([f64; 2], [f64; 2]) {
    let magnet_n = problem.adhesion_n(module, host, Hold::Rolling);
    let cup_n = problem.adhesion_n(module, host, hold) - magnet_n;
    let spread = |figure: f64, Spread { mean, cv }: Spread| [figure * mean, figure * mean * cv];
    (spread(magnet_n, scatter.magnet), spread(cup_n, scatter.cup))
}

/// How a need changes with masses and places: for one standard deviation of each number, in newtons.
fn changes(
    failed: &Failed,
    need: &BondNeed,
    scatter: &Scatter,
    name: impl Fn(ModuleId) -> ModuleId,
) -> Vec<(usize, f64)> {
    if scatter.demands_are_fixed() {
        return Vec::new();
    }
    let problem = failed.problem();
    let case = failed.case_at(need.share, need.hops_done);
    let there = failed.there(need.share, need.hops_done);
    let scale = need.need_n / need.bond.demand_under(need.gravity).worst_n();
    let change = |bond: BondLoad| (bond.demand_under(need.gravity).worst_n() * scale) - need.need_n;
    let mut found = Vec::new();
    for above in there.carried_with(need.child) {
        let (place, kind) = (there.get(above), problem.kind(above));
        let first = name(above).index() * NUMBERS;
        let payload_kg = problem.modules[above.index()].payload_kg;
        let com =
            place.position + place.up() * (kind.com_height_m * kind.mass_kg / (kind.mass_kg + payload_kg));
        let more_kg = problem.mass_kg(above) * scatter.mass_cv;
        found.push((first + MASS, change(heavier(need.bond, com, more_kg))));
        let Some(own) = case.bonds.iter().find(|bond| bond.child == above) else { continue };
        if above != need.child {
            let host_m = place.host.module().map_or(0.0, |host| problem.kind(host).shell_radius_m);
            let shift_m = scatter.shift_m(kind.ride_height_m + host_m);
            for (axis, number) in [DVec3::X, DVec3::Y, DVec3::Z].into_iter().zip(PLACE..) {
                let moment_kgm = need.bond.moment_kgm + axis * (shift_m * own.mass_kg);
                found.push((first + number, change(BondLoad { moment_kgm, ..need.bond })));
            }
        }
    }
    found.retain(|(_, change)| *change != 0.0);
    found
}

/// A bond that carries more at a point.
fn heavier(bond: BondLoad, point: DVec3, more_kg: f64) -> BondLoad {
    BondLoad {
        mass_kg: bond.mass_kg + more_kg,
        moment_kgm: bond.moment_kgm + (point - bond.sole) * more_kg,
        ..bond
    }
}
