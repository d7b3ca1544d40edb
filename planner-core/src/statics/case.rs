//! A load case: one configuration, the moves under way, and the directions of gravity.

use super::bond::{BondLoad, Wrench};
use super::gravity::gravity_directions;
use super::{DIRECTIONS, FailureMode};
use crate::math::{DVec3, tolerance};
use crate::model::{BondForest, Configuration, Hold, ModuleId, Problem, Touch};

/// A limit on the mover's bond that holds together with the load conditions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Driving {
    /// The tangential force is at most the drive force.
    Slide,
    /// The normal moment is at most the yaw torque of the hold.
    Yaw,
}

/// Utilisation of a crew under one direction of gravity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Utilisation {
    /// The least possible largest utilisation of the adhesive bonds; not below 0.
    pub value: f64,
    /// Excess in newtons of the worst hard condition (bonds without adhesion, drive and yaw limits); at most 0 when all are met.
    pub excess_n: f64,
}

impl Utilisation {
    /// Utilisation without load.
    pub const NOTHING: Self = Self { value: 0.0, excess_n: f64::NEG_INFINITY };

    /// Whether the utilisation is within the limit and every hard condition is met.
    #[must_use]
    pub fn within(self, limit: f64) -> bool {
        self.excess_n <= HARD_N && self.value <= limit + SLACK
    }

    /// By how much hard conditions are missed, in newtons; 0 within their tolerance.
    #[must_use]
    pub(crate) fn misses_n(self) -> f64 {
        if self.excess_n <= HARD_N { 0.0 } else { self.excess_n }
    }

    /// Whether it is clearly worse than another: by what is missed, or else by its value.
    #[must_use]
    pub(crate) fn is_worse_than(self, other: Self) -> bool {
        let (own, others) = (self.misses_n(), other.misses_n());
        own > others || (own == others && self.value > other.value)
    }

    /// The worse of both in each respect.
    #[must_use]
    pub fn worse(self, other: Self) -> Self {
        Self { value: self.value.max(other.value), excess_n: self.excess_n.max(other.excess_n) }
    }
}

/// Forces on a foot in the air are zero within this, in newtons.
const BALANCED_N: f64 = 1e-6;
/// Tolerance of hard conditions, in newtons: rounding, and the accuracy of the cone programme.
pub(super) const HARD_N: f64 = 1e-7;
/// A limit on utilisation is met within this.
pub(super) const SLACK: f64 = 0.1 * tolerance::UTILISATION;

/// Weight, bonds and touches of one configuration, for any direction of gravity.
#[derive(Clone, Debug)]
pub struct LoadCase {
    /// All bonds, hosts before children.
    pub bonds: Vec<BondLoad>,
    /// Bonds below each module: `chains[m]` indexes `bonds`, nearest first; the first is the module's own bond.
    pub(super) chains: Vec<Vec<usize>>,
    /// The touches that count.
    pub touches: Vec<Touch>,
    /// Bonds of movers with their limits: index into `bonds`, the kind of limit, its value in N or N·m.
    pub(super) driven: Vec<(usize, Driving, f64)>,
    /// Bonds that are none, because the foot is in the air: all forces on them are zero. Indices into `bonds`.
    pub(super) lifted: Vec<usize>,
    /// The nine gravity vectors in m/s².
    pub gravity: [DVec3; DIRECTIONS],
    /// Further tilt of the directions for the rough decks that feet and touches join, in radians.
    pub rough_rad: f64,
    /// Margin added to every demand, in newtons, per bond: peel and slip. Empty for none. See `LoadCase::set_margin`.
    pub(super) margin: Vec<[f64; 2]>,
}

impl LoadCase {
    /// The load case of a configuration at rest, with `touches` as the touches that count.
    ///
    /// The bonds must form a forest; modules in a cycle are omitted. Complexity: modules times depth.
    #[must_use]
    pub fn new(problem: &Problem, configuration: &Configuration, touches: Vec<Touch>) -> Self {
        Self::with_lifted(problem, configuration, touches, &[])
    }

    /// The same with the feet of some modules in the air.
    #[must_use]
    pub(crate) fn with_lifted(
        problem: &Problem,
        configuration: &Configuration,
        touches: Vec<Touch>,
        lifted: &[ModuleId],
    ) -> Self {
        let family = BondForest::new(configuration);
        let mut bonds = Vec::with_capacity(family.order.len());
        let mut bond_of = vec![usize::MAX; configuration.len()];
        for &id in &family.order {
            bond_of[id.index()] = bonds.len();
            bonds.push(bare_bond(problem, configuration, id));
        }
        for (index, &id) in family.order.iter().enumerate().rev() {
            let Some(host) = family.host[id.index()] else { continue };
            let child = bonds[index];
            let below: &mut BondLoad = &mut bonds[bond_of[host.index()]];
            below.moment_kgm += child.moment_kgm + (child.sole - below.sole) * child.mass_kg;
            below.mass_kg += child.mass_kg;
        }
        let chains = if touches.is_empty() {
            Vec::new()
        } else {
            let mut chains: Vec<Vec<usize>> = vec![Vec::new(); configuration.len()];
            for &id in &family.order {
                let below = family.host[id.index()].map_or(&[][..], |host| &chains[host.index()]);
                let mut chain = Vec::with_capacity(1 + below.len());
                chain.push(bond_of[id.index()]);
                chain.extend_from_slice(below);
                chains[id.index()] = chain;
            }
            chains
        };
        let standing = configuration.iter().filter(|(id, _)| !lifted.contains(id));
        let met = standing.map(|(_, place)| place.host).chain(touches.iter().map(|t| t.other));
        let lifted = lifted.iter().map(|id| bond_of[id.index()]).filter(|bond| *bond < bonds.len()).collect();
        let rough_rad = met
            .filter_map(crate::model::Body::ground)
            .map(|ground| problem.ground(ground).surfacing.tilt_rad)
            .fold(0.0, f64::max);
        let sway_rad = problem.limits.sway_rad + rough_rad;
        let gravity = gravity_directions(sway_rad).map(|d| d * problem.site.gravity_mps2);
        Self { bonds, chains, touches, driven: Vec::new(), lifted, gravity, rough_rad, margin: Vec::new() }
    }

    /// The same while a move is under way: gravity multiplied by the motion factor, and where anything `drives` or hops, the directions tilted
    /// further by the motion tilt.
    #[must_use]
    pub fn in_motion(mut self, problem: &Problem, drives: bool) -> Self {
        let limits = &problem.limits;
        let sway_rad = if drives { limits.moving_sway_rad() } else { limits.sway_rad };
        let strength = problem.site.gravity_mps2 * limits.motion_factor;
        self.gravity = gravity_directions(sway_rad + self.rough_rad).map(|d| d * strength);
        self
    }

    /// The same with another tilt of the directions on smooth ground, in radians.
    #[must_use]
    pub fn with_sway(mut self, sway_rad: f64) -> Self {
        let strength = self.gravity[0].length();
        self.gravity = gravity_directions(sway_rad + self.rough_rad).map(|d| d * strength);
        self
    }

    /// The same with a drive limit on a mover's bond.
    #[must_use]
    pub fn with_driven(mut self, problem: &Problem, mover: ModuleId, driving: Driving, hold: Hold) -> Self {
        let kind = problem.kind(mover);
        let limit = match (driving, hold) {
            (Driving::Slide, _) => kind.drive_force_n,
            (Driving::Yaw, Hold::Rolling) => kind.yaw_torque_rolling_nm,
            (Driving::Yaw, Hold::Braced) => kind.yaw_torque_braced_nm,
        };
        if let Some(index) = self.bonds.iter().position(|b| b.child == mover) {
            self.driven.push((index, driving, limit));
        }
        self
    }

    /// The same with one bond's adhesion multiplied: a hop.
    #[must_use]
    pub fn with_weakened(mut self, mover: ModuleId, share: f64) -> Self {
        for bond in self.bonds.iter_mut().filter(|b| b.child == mover) {
            bond.adhesion_n *= share;
        }
        self
    }

    /// The same with another mass fixed at a module's centre.
    #[must_use]
    pub fn with_payload(self, configuration: &Configuration, module: ModuleId, mass_kg: f64) -> Self {
        let centre = configuration.get(module).position;
        self.with_mass_at(configuration, module, centre, mass_kg)
    }

    /// The same with another mass at a point that a module carries.
    #[must_use]
    pub(crate) fn with_mass_at(
        mut self,
        configuration: &Configuration,
        module: ModuleId,
        point: DVec3,
        mass_kg: f64,
    ) -> Self {
        for id in std::iter::once(module).chain(configuration.hosts_below(module).filter_map(|b| b.module()))
        {
            for bond in self.bonds.iter_mut().filter(|b| b.child == id) {
                bond.mass_kg += mass_kg;
                bond.moment_kgm += (point - bond.sole) * mass_kg;
            }
        }
        self
    }

    /// Whether one bond carries its load in all directions without touch forces.
    pub(super) fn bond_carries(&self, index: usize, limit: f64) -> bool {
        self.bond_carries_pushed(index, Wrench { force: DVec3::ZERO, moment: DVec3::ZERO }, limit)
    }

    /// Whether it does when touches add the same wrench in all directions.
    pub(super) fn bond_carries_pushed(&self, index: usize, pushed: Wrench, limit: f64) -> bool {
        let bond = &self.bonds[index];
        let under = |gravity: DVec3| {
            let Wrench { force, moment } = bond.wrench(gravity);
            Wrench { force: force + pushed.force, moment: moment + pushed.moment }
        };
        // All directions differ from straight down by the same length: most bonds pass with that added to the demand of one.
        let tilt = self.gravity[0].distance(self.gravity[DIRECTIONS - 1]);
        let extra = bond.demand_bound(bond.mass_kg * tilt, bond.moment_kgm.length() * tilt);
        self.utilisation_with(index, under(self.gravity[0]), extra).within(limit)
            || self.gravity.iter().all(|&g| self.utilisation_of_bond(index, under(g)).within(limit))
    }

    /// The utilisation without touch forces.
    pub(super) fn utilisation_without_touches(&self, direction: usize) -> Utilisation {
        let gravity = self.gravity[direction];
        let mut utilisation = Utilisation::NOTHING;
        for (index, bond) in self.bonds.iter().enumerate() {
            utilisation = utilisation.worse(self.utilisation_of_bond(index, bond.wrench(gravity)));
        }
        utilisation
    }

    /// The utilisation of one bond under a wrench, its drive limits included.
    pub(super) fn utilisation_of_bond(&self, index: usize, wrench: Wrench) -> Utilisation {
        self.utilisation_with(index, wrench, [0.0; 2])
    }

    /// The same with an additional demand, in newtons of peel and slip.
    fn utilisation_with(&self, index: usize, wrench: Wrench, extra: [f64; 2]) -> Utilisation {
        let bond = &self.bonds[index];
        if self.lifted.contains(&index) {
            let left_n = wrench.force.length().max(wrench.moment.length() / bond.spin_m);
            return Utilisation { value: 0.0, excess_n: left_n - BALANCED_N };
        }
        let mut demand = bond.demand(wrench);
        let margin = self.margin.get(index).copied().unwrap_or_default();
        let extra = [margin[0] + extra[0], margin[1] + extra[1]];
        demand.peel_n += extra[0];
        demand.slip_n += extra[1];
        let worst = demand.worst_n();
        let mut utilisation = if bond.adhesion_n > 0.0 && worst.is_finite() {
            Utilisation { value: (worst / bond.adhesion_n).max(0.0), excess_n: f64::NEG_INFINITY }
        } else {
            Utilisation { value: 0.0, excess_n: worst }
        };
        for &(driven, driving, limit) in &self.driven {
            if driven == index {
                let extra_n = extra[1] * bond.friction;
                let excess_n = self.driving_excess(index, wrench, driving, limit).0 + extra_n;
                utilisation.excess_n = utilisation.excess_n.max(excess_n);
            }
        }
        utilisation
    }

    /// Excess over a drive limit, in newtons (a torque divided by the spin lever), and its failure mode.
    pub(super) fn driving_excess(
        &self,
        index: usize,
        wrench: Wrench,
        driving: Driving,
        limit: f64,
    ) -> (f64, FailureMode) {
        let bond = &self.bonds[index];
        match driving {
            Driving::Slide => {
                let tangential = wrench.force - bond.normal * wrench.force.dot(bond.normal);
                (tangential.length() - limit, FailureMode::Drive)
            }
            Driving::Yaw => ((wrench.moment.dot(bond.normal).abs() - limit) / bond.spin_m, FailureMode::Turn),
        }
    }

    /// Sets the margin to these bounds times a factor; no margin for a factor of 0.
    pub(crate) fn set_margin(&mut self, curvature_bounds: &[[f64; 2]], share: f64) {
        self.margin.clear();
        if share > 0.0 {
            self.margin.extend(curvature_bounds.iter().map(|b| b.map(|v| v * share)));
        }
    }
}

/// A bond that carries only its own module.
fn bare_bond(problem: &Problem, configuration: &Configuration, id: ModuleId) -> BondLoad {
    let place = configuration.get(id);
    let kind = problem.kind(id);
    let up = place.up();
    let payload = problem.modules[id.index()].payload_kg;
    let friction = match place.host {
        crate::model::Body::Module(_) => kind.bond_friction,
        crate::model::Body::Ground(deck) => problem.ground(deck).surfacing.friction,
        crate::model::Body::Stone(stone) => problem.stones[stone.index()].friction,
    };
    // Above the sole, the payload is at the ride height, and the bare module's centre of mass at that plus its own height.
    let lever = kind.ride_height_m * (kind.mass_kg + payload) + kind.com_height_m * kind.mass_kg;
    BondLoad {
        child: id,
        host: place.host,
        normal: up,
        sole: place.position - up * kind.ride_height_m,
        adhesion_n: problem.counted_adhesion_n(id, place.host, place.hold),
        friction,
        peel_m: kind.peel_radius_m,
        spin_m: kind.spin_lever_m(),
        mass_kg: kind.mass_kg + payload,
        moment_kgm: up * lever,
    }
}
