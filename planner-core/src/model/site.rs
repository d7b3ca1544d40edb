//! What holds all over the site.

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

impl Limits {
    /// The largest utilisation allowed.
    #[must_use]
    pub fn utilisation(&self) -> f64 {
        1.0 / self.hold_factor
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
    SEA_LEVEL_PA * (1.0 - LAPSE_K_PER_M * altitude_m / SEA_LEVEL_K).max(0.0).powf(exponent)
}
