//! What a plan does with bonds that are not rigid: how far it droops, how slowly it sways, and what places that are off add to its bonds.
//!
//! A bond gives way to the moment that tilts it, by an angle of that moment over its rocking stiffness. To first order, all that stands on it turns
//! with it about its sole.

use crate::check::Stances;
use crate::control::{Interrupt, Stopped};
use crate::math::DVec3;
use crate::model::{Body, Configuration, ModuleId, Problem};
use crate::motion::structure_failures::Failed;
use crate::plan::Plan;
use crate::statics::{BondLoad, LoadCase};
use std::f64::consts::TAU;

/// What bonds that are not rigid do to a plan. Looked at where structures stand still, and at the beginning, the middle and the end of every stretch of
/// time in which the moves under way in them stay the same.
#[derive(Clone, Debug, Default, PartialEq)]
#[non_exhaustive]
pub struct Compliance {
    /// The farthest that the centre of a module droops from its place; `None` for a plan in which touches close every stance.
    pub droop: Option<Droop>,
    /// The longest period of sway of any structure, in seconds, from above (Dunkerley 1894), and when; touches are not counted, which only shorten it.
    pub period_s: Option<(f64, f64)>,
    /// What places that are off add to the bond that bears it worst in a stance that touches close; `None` for a plan without touches.
    pub misplaced: Option<Misplaced>,
}

/// The centre of a module away from its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Droop {
    /// The module.
    pub module: ModuleId,
    /// How far, in metres, under the worst of the nine directions of gravity.
    pub off_m: f64,
    /// When, in seconds.
    pub at_s: f64,
}

/// A bond that has to give way because touches hold its module elsewhere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Misplaced {
    /// The module whose bond it is.
    pub module: ModuleId,
    /// Its host.
    pub host: Body,
    /// What the error of place adds to its utilisation.
    pub adds: f64,
    /// When, in seconds.
    pub at_s: f64,
}

/// What bonds of a rocking stiffness, in N·m/rad, do to a sound plan; places may be off by `error_rad`.
///
/// Modules are balls of even density for the sway. Complexity: for each structure its modules times their depth.
///
/// # Errors
/// When interrupted; the interrupt is polled before every structure.
pub fn compliance(
    problem: &Problem,
    plan: &Plan,
    rocking: f64,
    error_rad: f64,
    interrupt: Interrupt<'_>,
) -> Result<Compliance, Stopped> {
    let stances = Stances::new(problem, plan, interrupt)?;
    let mut found = Compliance::default();
    for number in stances.numbers() {
        interrupt.go_on()?;
        let structure = Failed::nothing(stances.get(number));
        let members = stances.members(number);
        let shares: &[f64] = if stances.get(number).moves() { &[0.0, 0.5, 1.0] } else { &[0.0] };
        for hops in structure.hops_done() {
            for &share in shares {
                let instant = Instant {
                    problem: structure.problem(),
                    there: structure.there(share, hops),
                    case: structure.case_at(share, hops),
                    rocking,
                };
                let at_s = stances.time_s(number, share);
                instant.tell(members, at_s, error_rad, &mut found);
            }
        }
    }
    Ok(found)
}

/// A structure at one instant.
struct Instant<'a> {
    problem: &'a Problem,
    there: Configuration,
    case: LoadCase,
    rocking: f64,
}

impl Instant<'_> {
    fn tell(&self, members: &[ModuleId], at_s: f64, error_rad: f64, found: &mut Compliance) {
        let period_s = TAU * (self.inertia_kgm2() / self.rocking).sqrt();
        if found.period_s.is_none_or(|(known, _)| period_s > known) {
            found.period_s = Some((period_s, at_s));
        }
        if self.case.touches.is_empty() {
            for direction in self.case.gravity {
                for (module, off_m) in self.droops(direction) {
                    if found.droop.is_none_or(|known| off_m > known.off_m) {
                        found.droop = Some(Droop { module: members[module.index()], off_m, at_s });
                    }
                }
            }
            return;
        }
        for bond in self.case.bonds.iter().filter(|bond| bond.adhesion_n > 0.0) {
            let adds = self.rocking * error_rad / (bond.peel_m * bond.adhesion_n);
            if found.misplaced.is_none_or(|known| adds > known.adds) {
                let host = bond.host.module().map_or(bond.host, |m| Body::Module(members[m.index()]));
                let module = members[bond.child.index()];
                found.misplaced = Some(Misplaced { module, host, adds, at_s });
            }
        }
    }

    /// How far each module's centre is off under a gravity vector in m/s², in metres.
    fn droops(&self, gravity: DVec3) -> Vec<(ModuleId, f64)> {
        let turns = self.case.bonds.iter().map(|bond| {
            let moment = bond.moment_kgm.cross(gravity);
            (moment - bond.normal * moment.dot(bond.normal)) / self.rocking
        });
        let turns: Vec<DVec3> = turns.collect();
        let off = |module: ModuleId| {
            let at = self.there.get(module).position;
            let shifts = self.below(module).map(|(index, bond)| turns[index].cross(at - bond.sole));
            shifts.sum::<DVec3>().length()
        };
        self.there.iter().map(|(module, _)| module).map(|module| (module, off(module))).collect()
    }

    /// The sum over all bonds of the moment of inertia of what stands on them about their soles, in kg·m². Over the stiffness it is at least the square of
    /// the slowest angular frequency's inverse, by Dunkerley's formula: each mass adds its own with all bonds below it.
    fn inertia_kgm2(&self) -> f64 {
        let of = |module: ModuleId| {
            let kind = self.problem.kind(module);
            let place = self.there.get(module);
            let own = 0.4 * kind.mass_kg * kind.shell_radius_m.powi(2);
            let below = self.below(module).map(|(_, bond)| {
                let payload_kg = self.problem.modules[module.index()].payload_kg;
                let com = place.position + place.up() * kind.com_height_m;
                own + kind.mass_kg * com.distance_squared(bond.sole)
                    + payload_kg * place.position.distance_squared(bond.sole)
            });
            below.sum::<f64>()
        };
        self.there.iter().map(|(module, _)| module).map(of).sum()
    }

    /// The bonds below a module, its own first.
    fn below(&self, module: ModuleId) -> impl Iterator<Item = (usize, &BondLoad)> {
        let bond_of = |module: ModuleId| {
            let index = self.case.bonds.iter().position(|bond| bond.child == module)?;
            Some((index, &self.case.bonds[index]))
        };
        std::iter::successors(bond_of(module), move |(_, bond)| bond_of(bond.host.module()?))
    }
}
