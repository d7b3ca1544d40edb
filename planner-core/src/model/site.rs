//! Properties of the whole site, and the limits.

use crate::math::{powf, tolerance};

/// Standard gravity, exact by definition (CGPM 3, 1901; ISO 80000-3).
pub const STANDARD_GRAVITY_MPS2: f64 = 9.80665;

/// Gravity and air of the site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// Geopotential altitude, in metres.
    pub altitude_m: f64,
    /// Gravity, in m/s².
    pub gravity_mps2: f64,
}

impl Site {
    /// Ambient pressure, in pascals.
    #[must_use]
    pub fn ambient_pa(&self) -> f64 {
        ambient_pressure_pa(self.altitude_m)
    }
}

/// The limits that every configuration must keep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Hold factor: the utilisation of a bond is at most `1/hold_factor`.
    pub hold_factor: f64,
    /// Sway: tilt of gravity in the eight tilted directions, in radians.
    pub sway_rad: f64,
    /// Factor on gravity while any move is under way.
    pub motion_factor: f64,
    /// Further tilt of gravity while a module slides, yaws or hops, in radians.
    pub motion_tilt_rad: f64,
    /// Gap up to which two bodies touch, in metres.
    pub touch_tol_m: f64,
    /// Gap that drives keep to what they do not move, in metres.
    pub clearance_m: f64,
    /// Hold factor with which a plan may begin; `None` where the start keeps `hold_factor`.
    pub recover_factor: Option<f64>,
    /// Whether plans are made so that cups may fail: no bond then needs more than its magnets hold alone. A wish for planning, not part of a scene.
    pub cups_may_fail: bool,
}

/// Margin below the limit on utilisation with which trips are planned: the tolerance of a claimed utilisation, [`tolerance::UTILISATION`].
const PLANNING_MARGIN: f64 = tolerance::UTILISATION;
/// Margin below the limit that a reused trip has to keep.
const REPEATING_MARGIN: f64 = 0.1 * tolerance::UTILISATION;

impl Limits {
    /// The largest utilisation allowed.
    #[must_use]
    pub fn utilisation(&self) -> f64 {
        1.0 / self.hold_factor
    }

    /// What a plan keeps in reserve, for messages: `at a factor of 1.5`.
    #[must_use]
    pub(crate) fn reserve(&self) -> String {
        let factor = self.hold_factor;
        if self.cups_may_fail {
            format!("(at a factor of {factor} with its cup, of 1 should that fail)")
        } else {
            format!("at a factor of {factor}")
        }
    }

    /// Tilt of gravity in the eight tilted directions while a module slides, yaws or hops, in radians.
    #[must_use]
    pub fn moving_sway_rad(&self) -> f64 {
        self.sway_rad + self.motion_tilt_rad
    }

    /// The largest utilisation with which trips are planned. Plans keep a margin to the limit, so that rounding, and the tolerance of a computed
    /// utilisation, never make the checker refuse them.
    #[must_use]
    pub fn utilisation_to_plan_for(&self) -> f64 {
        self.utilisation() - PLANNING_MARGIN
    }

    /// The largest utilisation at which a trip planned earlier counts as sound from where it is actually made. It lies between the value for planning
    /// and the limit, so that rounding never makes a new trip necessary.
    #[must_use]
    pub fn utilisation_to_make_again(&self) -> f64 {
        self.utilisation() - REPEATING_MARGIN
    }
}

/// Pressure of the ISO 2533:1975 standard atmosphere at a geopotential altitude up to 11 km, in pascals.
#[must_use]
pub fn ambient_pressure_pa(altitude_m: f64) -> f64 {
    const SEA_LEVEL_PA: f64 = 101_325.0;
    const SEA_LEVEL_K: f64 = 288.15;
    const LAPSE_K_PER_M: f64 = 0.0065;
    const GAS_CONSTANT: f64 = 287.052_87;
    let exponent = STANDARD_GRAVITY_MPS2 / (GAS_CONSTANT * LAPSE_K_PER_M);
    SEA_LEVEL_PA * powf((1.0 - LAPSE_K_PER_M * altitude_m / SEA_LEVEL_K).max(0.0), exponent)
}
