//! One bond: the wrench it must bear, what it can bear, and how much of that is used.

use crate::math::DVec3;
use crate::model::{Body, ModuleId};

/// The elliptic limit surface over-predicts the exact one of a uniformly pressed disc by up to 7 % (Goyal, Ruina &
/// Papadopoulos, Wear 143 (1991) 307; ratio computed), so it is shrunk by this.
pub(super) const LIMIT_SURFACE: f64 = 0.93;

/// A bond, and the part of its load that comes from weight. Newtons and metres, world frame.
#[derive(Clone, Copy, Debug)]
pub struct BondLoad {
    /// The module whose foot it is.
    pub child: ModuleId,
    /// What it stands on.
    pub host: Body,
    /// The child's body z.
    pub normal: DVec3,
    /// The sole's centre.
    pub sole: DVec3,
    /// Adhesion `A` in newtons.
    pub adhesion_n: f64,
    /// Friction `μ` of the bond.
    pub friction: f64,
    /// Foot radius `b`.
    pub foot_m: f64,
    /// Lever `r = 2b/3` of torsional friction.
    pub spin_m: f64,
    /// Mass of the child and all that stands on it, in kilograms.
    pub mass_kg: f64,
    /// That mass times the way from the sole to its centre, in kg·m.
    pub moment_kgm: DVec3,
}

/// Which condition of a bond is nearest its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FailureMode {
    /// The foot lifts on one side.
    Peel,
    /// The foot slips or spins.
    Slip,
    /// The tracks cannot push hard enough.
    Drive,
    /// The foot cannot turn hard enough.
    Turn,
}

impl FailureMode {
    /// The word of reports.
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

/// What a bond asks for, as the adhesion in newtons that would just do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Against peeling: `|m_p|/b − f_n`.
    pub peel_n: f64,
    /// Against slipping: `‖(f_t, m_n/r)‖/(0.93 μ) − f_n`.
    pub slip_n: f64,
}

impl Demand {
    /// The larger of the two.
    #[must_use]
    pub fn worst_n(self) -> f64 {
        self.peel_n.max(self.slip_n)
    }

    /// Which of the two it is.
    #[must_use]
    pub fn governs(self) -> FailureMode {
        if self.peel_n >= self.slip_n { FailureMode::Peel } else { FailureMode::Slip }
    }
}

/// Force and moment that a host exerts on the child at the sole's centre.
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

    /// By how much the demands against peeling and slipping can change when force and moment change by so much.
    pub(crate) fn bend(&self, force: f64, moment: f64) -> [f64; 2] {
        let peel = moment / self.foot_m + force;
        let rub = (force * force + (moment / self.spin_m).powi(2)).sqrt();
        let slip = if rub > 0.0 { rub / (LIMIT_SURFACE * self.friction) + force } else { 0.0 };
        [peel, slip]
    }

    /// What weight alone asks of this bond, for a gravity vector in m/s².
    #[must_use]
    pub fn demand_under(&self, gravity: DVec3) -> Demand {
        self.demand(self.wrench(gravity))
    }

    /// What a wrench asks of this bond.
    pub(super) fn demand(&self, wrench: Wrench) -> Demand {
        let normal_force = wrench.force.dot(self.normal);
        let tangential = wrench.force - self.normal * normal_force;
        let spin = wrench.moment.dot(self.normal);
        let tilting = wrench.moment - self.normal * spin;
        let rub = (tangential.length_squared() + (spin / self.spin_m).powi(2)).sqrt();
        let slip = if rub > 0.0 { rub / (LIMIT_SURFACE * self.friction) } else { 0.0 };
        Demand { peel_n: tilting.length() / self.foot_m - normal_force, slip_n: slip - normal_force }
    }
}
