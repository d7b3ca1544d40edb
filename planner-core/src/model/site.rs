//! What holds all over the site.

use crate::math::powf;
use crate::math::tolerance;

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

/// The margins that every configuration must keep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// A bond may be used up to `1/hold_factor`.
    pub hold_factor: f64,
    /// How far gravity may tilt, in radians.
    pub sway_rad: f64,
    /// Factor on gravity while something slides, yaws or hops.
    pub motion_factor: f64,
    /// Gap up to which two bodies touch, in metres.
    pub touch_tol_m: f64,
}

/// How far below the limit on utilisation trips are planned: what a claimed utilisation may be off, [`tolerance::UTILISATION`].
const PLANNING_MARGIN: f64 = tolerance::UTILISATION;
/// How far below it a trip that is made again has to stay.
const REPEATING_MARGIN: f64 = 0.1 * tolerance::UTILISATION;

impl Limits {
    /// The largest utilisation allowed.
    #[must_use]
    pub fn utilisation(&self) -> f64 {
        1.0 / self.hold_factor
    }

    /// The largest utilisation that trips are looked for with. Plans keep a little within the limit, so that rounding, and the tolerance with
    /// which a utilisation is worked out, never make the checker refuse them.
    #[must_use]
    pub fn utilisation_to_plan_for(&self) -> f64 {
        self.utilisation() - PLANNING_MARGIN
    }

    /// The largest utilisation at which a trip that was found before is taken as sound from where it is really made. It lies between the one
    /// that it was planned for and the limit, so that rounding makes nobody look for another trip.
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
