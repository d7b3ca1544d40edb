//! One bond: the wrench it transmits, its capacity, and its utilisation.

use crate::math::DVec3;
use crate::model::{Body, ModuleId};

/// Factor on the slip limit: the elliptic limit surface over-predicts the exact one of a uniformly pressed disc by up to 7 % (Goyal, Ruina &
/// Papadopoulos, Wear 143 (1991) 307; ratio computed).
pub(super) const LIMIT_SURFACE: f64 = 0.93;

/// A bond, and the part of its load that comes from weight. SI units, world frame.
#[derive(Clone, Copy, Debug)]
pub struct BondLoad {
    /// The module whose foot it is.
    pub child: ModuleId,
    /// The body it stands on.
    pub host: Body,
    /// The child's body z, a unit vector.
    pub normal: DVec3,
    /// The sole's centre, in metres.
    pub sole: DVec3,
    /// Adhesion `A` in newtons.
    pub adhesion_n: f64,
    /// Coefficient of friction `μ` of the bond.
    pub friction: f64,
    /// Peel radius `c`, in metres.
    pub peel_m: f64,
    /// Lever `r = 2c/3` of torsional friction, in metres.
    pub spin_m: f64,
    /// Mass of the child and all that stands on it, in kilograms.
    pub mass_kg: f64,
    /// That mass times the vector from the sole to its centre of mass, in kg·m.
    pub moment_kgm: DVec3,
}

/// Failure mode of a bond: the condition that is nearest to its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FailureMode {
    /// The foot lifts on one side.
    Peel,
    /// The foot slips or spins.
    Slip,
    /// The required tangential force exceeds the drive force.
    Drive,
    /// The required torque exceeds the yaw torque.
    Turn,
}

impl FailureMode {
    /// The name in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Peel => "peel",
            Self::Slip => "slip",
            Self::Drive => "drive",
            Self::Turn => "turn",
        }
    }
}

/// Demand on a bond: the least adhesion in newtons at which it holds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Demand against peel: `|m_p|/c − f_n`.
    pub peel_n: f64,
    /// Demand against slip: `‖(f_t, m_n/r)‖/(0.93 μ) − f_n`.
    pub slip_n: f64,
}

impl Demand {
    /// The larger of the two.
    #[must_use]
    pub fn worst_n(self) -> f64 {
        self.peel_n.max(self.slip_n)
    }

    /// The failure mode of the larger one.
    #[must_use]
    pub fn governs(self) -> FailureMode {
        if self.peel_n >= self.slip_n { FailureMode::Peel } else { FailureMode::Slip }
    }
}

/// Force and moment about the sole's centre that the host exerts on the child, in newtons and newton metres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wrench {
    pub(super) force: DVec3,
    pub(super) moment: DVec3,
}

impl BondLoad {
    /// The wrench from weight alone, for a gravity vector in m/s².
    pub(super) fn wrench(&self, gravity: DVec3) -> Wrench {
        Wrench { force: gravity * -self.mass_kg, moment: -self.moment_kgm.cross(gravity) }
    }

    /// Upper bounds on the change of the demands against peel and slip when force and moment change by given amounts.
    pub(crate) fn demand_bound(&self, force: f64, moment: f64) -> [f64; 2] {
        let peel = moment / self.peel_m + force;
        let rub = (force * force + (moment / self.spin_m).powi(2)).sqrt();
        let slip = if rub > 0.0 { rub / (LIMIT_SURFACE * self.friction) + force } else { 0.0 };
        [peel, slip]
    }

    /// The demand from weight alone, for a gravity vector in m/s².
    #[must_use]
    pub fn demand_under(&self, gravity: DVec3) -> Demand {
        self.demand(self.wrench(gravity))
    }

    /// The demand of a wrench on this bond.
    pub(super) fn demand(&self, wrench: Wrench) -> Demand {
        let normal_force = wrench.force.dot(self.normal);
        let tangential = wrench.force - self.normal * normal_force;
        let spin = wrench.moment.dot(self.normal);
        let tilting = wrench.moment - self.normal * spin;
        let rub = (tangential.length_squared() + (spin / self.spin_m).powi(2)).sqrt();
        let slip = if rub > 0.0 { rub / (LIMIT_SURFACE * self.friction) } else { 0.0 };
        Demand { peel_n: tilting.length() / self.peel_m - normal_force, slip_n: slip - normal_force }
    }
}
