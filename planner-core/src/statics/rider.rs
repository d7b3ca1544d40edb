//! The load while one bare module is anywhere on one host and all other modules stand.
//!
//! Its weight adds to each bond below it a moment that is affine in its position, and the utilisation (with touches: the optimal value of the cone
//! programme) is convex in the wrenches. So the places at which the bonds below carry form a convex set: if the corners of a triangle carry, so does
//! all of it. Its own bond depends only on the slope at its foot.

use super::bond::{BondLoad, LIMIT_SURFACE, Wrench};
use super::carried_places::CarriedPlaces;
use super::patches::{self, Proven};
use super::touching::TouchProgram;
use super::warm_start::WarmStart;
use super::{DIRECTIONS, LoadCase};
use crate::math::{DVec3, asin, atan2, cos, hypot};
use crate::model::{Body, Configuration, ModuleId, Problem, Touch};
use std::ops::Range;

const NO_WRENCH: Wrench = Wrench { force: DVec3::ZERO, moment: DVec3::ZERO };

/// A proof that a crew with many touches carries a rider somewhere: it serves for other places and hosts, as most bonds do not feel the rider.
#[derive(Clone, Debug)]
pub struct CrewProof {
    /// The modules below the rider there.
    below: Vec<ModuleId>,
    /// What forces on the touches add to the wrench of every module's bond, along some directions and along others.
    pushed: Vec<(Range<usize>, Vec<Wrench>)>,
}

/// A load case in which the place of one module, the rider, is variable.
#[derive(Clone, Debug)]
pub struct Rider {
    /// The whole crew, the rider without weight.
    case: LoadCase,
    /// Bonds below the rider, and the moment of the other modules' weight about each, in kg·m.
    below: Vec<(usize, DVec3)>,
    /// Whether the bonds that do not carry the rider hold without any touch.
    others_carry: bool,
    /// Where there are touches, but not many.
    touching: Option<TouchProgram>,
    /// Where its centre of mass is known to be carried with touches.
    carried: CarriedPlaces,
    mass_kg: f64,
    /// A point of the host, and the ratio of the distances of the rider's centre of mass and of its centre from that point.
    pivot: DVec3,
    stretch: f64,
    limit: f64,
    /// Least cosine between the foot's normal and the vertical at which the rider's own bond carries in a slide or yaw, and in a hop.
    steepest: [f64; 2],
}

impl Rider {
    /// The rider on `host`, while all others stand as in `others` with `touches` between them, with the gravity that holds while it moves.
    ///
    /// The bonds must form a forest, and no module may stand on the rider or touch it. Complexity: modules times depth.
    #[must_use]
    pub fn new(
        problem: &Problem,
        others: &Configuration,
        rider: ModuleId,
        host: Body,
        touches: Vec<Touch>,
        limit: f64,
    ) -> Self {
        let kind = problem.kind(rider);
        let mut there = others.clone();
        there.get_mut(rider).host = host;
        let mut case = LoadCase::new(problem, &there, touches).in_motion(problem, true);
        let own = case.bonds.iter().position(|bond| bond.child == rider);
        let bond = own.map(|own| case.bonds[own]);
        let mass_kg = bond.map_or(0.0, |bond| bond.mass_kg);
        let lever = bond.map_or(0.0, |bond| bond.moment_kgm.dot(bond.normal) / mass_kg);
        let (pivot, stretch) = match host {
            Body::Ground(_) | Body::Stone(_) => (DVec3::ZERO, 1.0),
            Body::Module(host) => {
                let host_m = problem.kind(host).shell_radius_m;
                (others.get(host).position, (host_m + lever) / kind.standing_distance(problem.kind(host)))
            }
        };
        let mut below = Vec::new();
        for id in there.hosts_below(rider).filter_map(Body::module) {
            if let Some(index) = case.bonds.iter().position(|bond| bond.child == id)
                && let Some(own) = bond
            {
                let bond = &mut case.bonds[index];
                let its_moment = own.moment_kgm + (own.sole - bond.sole) * mass_kg;
                below.push((index, bond.moment_kgm - its_moment - bond.sole * mass_kg));
            }
        }
        let steepest = bond.map_or([f64::INFINITY; 2], |bond| {
            let strength = case.gravity[0].length();
            let sliding = steepest(&bond, limit, strength, kind.drive_force_n);
            let weakened = BondLoad { adhesion_n: bond.adhesion_n * kind.hop_hold, ..bond };
            [sliding, steepest(&weakened, limit, strength, f64::INFINITY)].map(|angle| {
                let tilt = angle - problem.limits.moving_sway_rad() - case.rough_rad;
                if tilt < 0.0 { f64::INFINITY } else { cos(tilt.min(std::f64::consts::PI)) }
            })
        });
        if let Some(own) = own {
            case.bonds[own].mass_kg = 0.0;
            case.bonds[own].moment_kgm = DVec3::ZERO;
        }
        let others_carry = (0..case.bonds.len())
            .all(|bond| below.iter().any(|(b, _)| *b == bond) || case.bond_carries(bond, limit));
        let are_few = !case.touches.is_empty() && !patches::are_many(&case);
        let touching = are_few.then(|| TouchProgram::new(&case));
        let carried = CarriedPlaces::new(&case.gravity);
        Self { case, below, others_carry, touching, carried, mass_kg, pivot, stretch, limit, steepest }
    }

    /// Whether all bonds but the rider's own carry in all directions with the rider's centre at a place, which may be off its host (for convexity).
    /// `true` is proven; `false` may also mean that the cone programme could not decide. `known` is shared by all hosts of the same rider.
    ///
    /// Complexity: that of the bonds below; where they need touches and what is known will not do, that of the crew, and a few cone programmes at
    /// most.
    pub fn others_carry_at(
        &mut self,
        centre: DVec3,
        hint: &mut WarmStart,
        known: &mut Option<CrewProof>,
    ) -> bool {
        let centre_of_mass = self.pivot + (centre - self.pivot) * self.stretch;
        for (bond, moment) in &self.below {
            self.case.bonds[*bond].moment_kgm = *moment + centre_of_mass * self.mass_kg;
        }
        let carried = |(bond, _): &(usize, DVec3)| self.case.bond_carries(*bond, self.limit);
        if self.others_carry && self.below.iter().all(carried) {
            return true;
        }
        if self.carried.contain_all_ways(centre_of_mass) {
            return true;
        }
        if self.touching.is_some() {
            return self.others_carry_by_touches(centre_of_mass, hint);
        }
        let carries = patches::are_many(&self.case) && self.others_carry_on_patches(hint, known);
        if carries {
            self.carried.add_all_ways(centre_of_mass);
        }
        carries
    }

    /// The same with touches, but not many.
    fn others_carry_by_touches(&mut self, centre_of_mass: DVec3, hint: &mut WarmStart) -> bool {
        let Self { case, limit, touching: Some(program), carried, .. } = self else { return false };
        if !program.untouched_carry(case, *limit) {
            return false;
        }
        if program.known_carry_all_ways(case, *limit, hint) {
            carried.add_all_ways(centre_of_mass);
            return true;
        }
        (0..DIRECTIONS).all(|direction| {
            let carries = carried.contain(direction, centre_of_mass)
                || program.carries_along(case, direction, *limit, hint);
            if carries {
                carried.add(direction, centre_of_mass);
            }
            carries
        })
    }

    /// The same with many touches. With the forces of a proof for another place only the bonds below the rider, here and there, have to be looked at.
    fn others_carry_on_patches(&self, hint: &mut WarmStart, known: &mut Option<CrewProof>) -> bool {
        let Self { case, limit, .. } = self;
        let below = || self.below.iter().map(|(bond, _)| case.bonds[*bond].child);
        let still = |proof: &CrewProof| {
            proof.below.iter().copied().chain(below()).all(|module| {
                let Some(&bond) = case.chains[module.index()].first() else { return true };
                let carries = |(along, pushed): &(Range<usize>, Vec<Wrench>)| {
                    patches::bond_carries_along(case, (bond, pushed[module.index()]), along.clone(), *limit)
                };
                proof.pushed.iter().all(carries)
            })
        };
        if known.as_ref().is_some_and(still) {
            return true;
        }
        match patches::proven(case, 0..DIRECTIONS, *limit, hint) {
            Proven::No => false,
            Proven::Otherwise => true,
            Proven::With(parts) => {
                let by_module = |(along, pushed): (Range<usize>, Vec<Wrench>)| {
                    let mut by_module = vec![NO_WRENCH; case.chains.len()];
                    for (bond, pushed) in case.bonds.iter().zip(pushed) {
                        by_module[bond.child.index()] = pushed;
                    }
                    (along, by_module)
                };
                let pushed = parts.into_iter().map(by_module).collect();
                *known = Some(CrewProof { below: below().collect(), pushed });
                true
            }
        }
    }

    /// Whether the rider's own bond certainly carries in a slide or a yaw where the foot's normal has this z component.
    #[must_use]
    pub fn grips_moving(&self, normal_z: f64) -> bool {
        normal_z >= self.steepest[0]
    }

    /// The same while it hops from or to this host.
    #[must_use]
    pub fn grips_hopping(&self, normal_z: f64) -> bool {
        normal_z >= self.steepest[1]
    }
}

/// The largest angle between a foot's normal and the vertical up to which a bond carries the weight of its own module only, with the drive force
/// limited to `drive_n`; gravity of this strength points straight down.
///
/// At an angle θ the demands against peel and slip are `M g (k sin θ − cos θ)` with `k` the lever of the centre of mass over the peel radius, or
/// `1/(0.93 μ)`. They grow up to their maximum.
fn steepest(bond: &BondLoad, limit: f64, gravity: f64, drive_n: f64) -> f64 {
    let weight = bond.mass_kg * gravity;
    let held = limit * bond.adhesion_n / weight;
    let up_to = |k: f64| {
        let most = hypot(k, 1.0);
        let reached = held / most;
        if reached >= 1.0 { std::f64::consts::PI } else { atan2(1.0_f64, k) + asin(reached.max(-1.0)) }
    };
    let peel = up_to(bond.moment_kgm.length() / bond.mass_kg / bond.peel_m);
    let slip = up_to(1.0 / (LIMIT_SURFACE * bond.friction));
    let drive = if weight <= drive_n { std::f64::consts::PI } else { asin(drive_n / weight) };
    peel.min(slip).min(drive)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::GroundId;

    /// Inclined at exactly the angle, bonds with and without adhesion are at their limit.
    #[test]
    fn the_steepest_angle_is_the_limit() {
        let bond = BondLoad {
            child: ModuleId(0),
            host: Body::Ground(GroundId(0)),
            normal: DVec3::Z,
            sole: DVec3::ZERO,
            adhesion_n: 0.0,
            friction: 0.6,
            peel_m: 0.04,
            spin_m: 0.08 / 3.0,
            mass_kg: 0.5,
            moment_kgm: DVec3::Z * 0.025,
        };
        for (adhesion_n, drive_n) in [(0.0, 99.0), (2.0, 99.0), (5.5, 99.0), (30.0, 99.0), (30.0, 3.0)] {
            let bond = BondLoad { adhesion_n, ..bond };
            let angle = steepest(&bond, 0.5, 9.8, drive_n);
            let excess = |angle: f64| {
                let normal = DVec3::new(crate::math::sin(angle), 0.0, cos(angle));
                let turned = BondLoad { normal, moment_kgm: normal * 0.025, ..bond };
                let gravity = DVec3::NEG_Z * 9.8;
                let drive = turned.wrench(gravity).force.cross(normal).length() - drive_n;
                (turned.demand_under(gravity).worst_n() - 0.5 * adhesion_n).max(drive)
            };
            if angle < std::f64::consts::PI {
                assert!(excess(angle).abs() < 1e-12, "{adhesion_n}: {}", excess(angle));
            }
            for k in 0..1000 {
                assert!(excess(angle * f64::from(k) / 1000.0) < 1e-12, "{adhesion_n}, {k}");
            }
        }
    }
}
