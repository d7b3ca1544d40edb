//! The load of a machine while it rolls on planted modules: proven between two instants, not sampled.
//!
//! Look from a frame that goes with the points of contact. There these points stand still, the rest of the machine goes round on a circle of the crank's
//! radius without turning, and planted modules turn. Take touch forces that balance at both ends, and join them evenly. Between the ends they miss the
//! balance of moments only by what the weight's moment, a wave, departs from its chord; the least change that repairs it is small. The wrench of every
//! bond, in the frame of its foot, is then its chord but for products of waves with forces that are known. So a bond or a touch holds between the ends
//! if it holds at both with these errors added.
//!
//! Forces are taken at the analytic centre of what the limit allows, which changes smoothly along the way.

use super::bond::Wrench;
use super::case::{Driving, LoadCase, SLACK};
use super::centre::{centre, is_within};
use super::cone_program::Solution;
use super::posed::PosedCase;
use super::touching::{TouchProgram, signed_bonds};
use crate::math::DVec3;
use crate::model::ModuleId;

/// A planted module.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RollingModule {
    pub(crate) id: ModuleId,
    /// Its mass times the distance of its centre of mass from its centre, in kg·m.
    pub(crate) swing_kgm: f64,
    /// The distance from its sole to where it touches, at most: ride height and radius, in metres.
    pub(crate) reach_m: f64,
}

/// What rolls, and how.
#[derive(Clone, Debug)]
pub(crate) struct Rolling {
    pub(crate) planted: Vec<RollingModule>,
    /// Length of the crank, in metres.
    pub(crate) crank_m: f64,
}

/// By how much a wrench may be off its chord: force in newtons, and moment in newton metres.
#[derive(Clone, Copy, Debug, Default)]
struct Off {
    force: f64,
    moment: f64,
}

impl PosedCase {
    /// Touch forces in newtons at the centre of what a limit allows in a direction; those of a case nearby may be given to begin with. Where the limit
    /// only just allows any, the best ones. `None` if the limit is not met.
    pub(crate) fn centred(&self, direction: usize, limit: f64, near: Option<&[f64]>) -> Option<Vec<f64>> {
        let program = self.program.as_ref()?;
        let posed = program.posed(&self.case, direction, false)?;
        let allowed = posed.cones.fixed(limit);
        let (base, free) = posed.free.as_ref()?;
        let unit = program.unit;
        let begin = near.map(|forces| -> Vec<f64> {
            let off = forces.iter().zip(base).map(|(force, base)| force / unit - base);
            let off: Vec<f64> = off.collect();
            free.iter().map(|along| along.iter().zip(&off).map(|(a, b)| a * b).sum()).collect()
        });
        let begin = begin.filter(|x| is_within(&allowed, x));
        let found = begin.or_else(|| {
            let mut inside = None;
            let solution = posed.cones.solve(f64::INFINITY, |x| {
                let x = &x[..x.len() - 1];
                let good = is_within(&allowed, x);
                if good {
                    inside = Some(x.to_vec());
                }
                good
            });
            match solution {
                Solution::Optimal(x) if inside.is_none() => Some(x[..x.len() - 1].to_vec()),
                _ => inside,
            }
        })?;
        let found = centre(&allowed, &found).unwrap_or(found);
        let forces = posed.forces(&found);
        let pushes: Vec<f64> = forces.into_iter().map(|force| force * unit).collect();
        program.reached_carry(&self.case, direction, limit, &pushes).then_some(pushes)
    }
}

impl Rolling {
    /// Whether the load is carried in a direction at every instant between two, with these touch forces at the ends, between which planted modules turn
    /// by an angle in radians.
    pub(crate) fn carries_between(
        &self,
        ends: [(&PosedCase, &[f64]); 2],
        angle_rad: f64,
        direction: usize,
        limit: f64,
    ) -> bool {
        let case = &ends[0].0.case;
        let Some(program) = &ends[0].0.program else { return false };
        let Some(repaired) = self.repairs(case, program, angle_rad, direction) else { return false };
        let pushes = ends.map(|(_, pushes)| program.forces_of(case, pushes));
        let touches_hold = ends.iter().zip(&pushes).all(|((posed, _), forces)| {
            posed.case.touches.iter().enumerate().all(|(index, touch)| {
                let force = forces[index];
                let normal = force.dot(touch.normal);
                let left = touch.friction * normal - (force - touch.normal * normal).length();
                // The change goes in any direction: along the normal it counts by the friction, and across it in full.
                left >= (1.0 + touch.friction * touch.friction).sqrt() * repaired[index] - ROUNDING_N
                    && normal >= repaired[index] - ROUNDING_N
            })
        });
        touches_hold
            && program.reached.iter().enumerate().filter(|(_, bond)| !case.lifted.contains(bond)).all(
                |(row, &bond)| {
                    let off = self.off(ends, &pushes, &repaired, (angle_rad, direction), bond);
                    ends.iter().all(|(posed, forces)| {
                        let Some(program) = &posed.program else { return false };
                        let wrench = program.wrench_under(&posed.case, direction, row, forces);
                        holds(&posed.case, bond, wrench, off, limit)
                    })
                },
            )
            && ends.iter().all(|(posed, _)| untouched_hold(&posed.case, program, direction, limit))
    }

    /// By how much each touch force changes, at most, to repair the balance of moments between the ends, in newtons.
    fn repairs(
        &self,
        case: &LoadCase,
        program: &TouchProgram,
        angle_rad: f64,
        direction: usize,
    ) -> Option<Vec<f64>> {
        let balance = program.balance.as_ref()?.as_ref()?;
        let gravity = case.gravity[direction].length();
        let whole: f64 = case.lifted.iter().map(|&bond| case.bonds[bond].mass_kg).sum();
        let (mut rolling, mut swing) = (0.0, 0.0);
        for module in &self.planted {
            let bond = case.bonds.iter().find(|bond| bond.child == module.id)?;
            rolling += bond.mass_kg;
            swing += module.swing_kgm;
        }
        let wave = gravity * ((whole - rolling) * self.crank_m + swing);
        let moment = wave * angle_rad * angle_rad / 8.0;
        let of = |touch: usize| {
            let first = program.unknowns.partition_point(|(index, _)| *index < touch);
            let last = program.unknowns.partition_point(|(index, _)| *index <= touch);
            balance.change_by_moment(first..last) * moment
        };
        Some((0..case.touches.len()).map(of).collect())
    }

    /// By how much the wrench of a bond is off its chord, at most.
    fn off(
        &self,
        ends: [(&PosedCase, &[f64]); 2],
        forces: &[Vec<DVec3>; 2],
        repaired: &[f64],
        (angle_rad, direction): (f64, usize),
        bond: usize,
    ) -> Off {
        let case = &ends[0].0.case;
        let gravity = case.gravity[direction].length();
        let (bent, mixed) = (angle_rad * angle_rad / 8.0, angle_rad.abs() / 4.0);
        let own = &case.bonds[bond];
        let mut off = Off::default();
        if let Some(rolls) = self.planted.iter().find(|module| module.id == own.child) {
            // In its own frame gravity and the forces of its touches turn.
            for (index, touch) in case.touches.iter().enumerate() {
                if touch.module != own.child && touch.other.module() != Some(own.child) {
                    continue;
                }
                let [a, b] = [forces[0][index], forces[1][index]];
                let turned = a.length().max(b.length()) * bent + (b - a).length() * mixed;
                off.force += turned + repaired[index];
                off.moment += rolls.reach_m * (turned + repaired[index]);
            }
            off.force += own.mass_kg * gravity * bent;
            off.moment += own.moment_kgm.length() * gravity * bent;
            return off;
        }
        for (index, touch) in case.touches.iter().enumerate() {
            if signed_bonds(case, touch).all(|(signed, _)| signed != bond) {
                continue;
            }
            let [a, b] = [forces[0][index], forces[1][index]];
            let reach =
                ends.map(|(posed, _)| posed.case.touches[index].point.distance(posed.case.bonds[bond].sole));
            off.force += repaired[index];
            off.moment += (reach[0].max(reach[1]) + self.crank_m * bent) * repaired[index];
            if touch.other.module().is_none() {
                off.moment += self.crank_m * (a.length().max(b.length()) * bent + (b - a).length() * mixed);
            }
        }
        for module in &self.planted {
            let above = |m: ModuleId| case.chains[m.index()].contains(&bond);
            let mass = case.bonds.iter().find(|b| b.child == module.id).map_or(0.0, |b| b.mass_kg);
            if above(module.id) {
                off.moment += gravity * (mass * self.crank_m + module.swing_kgm) * bent;
            }
        }
        off
    }
}

/// Rounding of forces, in newtons.
const ROUNDING_N: f64 = 1e-9;

/// Whether a bond holds with a wrench that may be off by some more.
fn holds(case: &LoadCase, index: usize, wrench: Wrench, off: Off, limit: f64) -> bool {
    let bond = &case.bonds[index];
    let demand = bond.demand(wrench);
    let [peel, slip] = bond.demand_bound(off.force, off.moment);
    let most = (limit + SLACK) * bond.adhesion_n + ROUNDING_N;
    demand.peel_n + peel <= most
        && demand.slip_n + slip <= most
        && case.driven.iter().filter(|driven| driven.0 == index).all(|&(_, driving, limit)| {
            let more = match driving {
                Driving::Slide => off.force,
                Driving::Yaw => off.moment / bond.spin_m,
            };
            case.driving_excess(index, wrench, driving, limit).0 + more <= ROUNDING_N
        })
}

/// Whether the bonds that no touch loads hold: they only carry weight that does not turn.
fn untouched_hold(case: &LoadCase, program: &TouchProgram, direction: usize, limit: f64) -> bool {
    program.untouched.iter().all(|&bond| {
        let weight = case.bonds[bond].wrench(case.gravity[direction]);
        case.utilisation_of_bond(bond, weight).within(limit)
    })
}
