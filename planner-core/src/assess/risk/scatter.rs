//! How holds, masses and places scatter.

/// A normal distribution, relative to the figure in the scene.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// The mean, as a share of the figure; rated holds are low limits, so the mean is above 1.
    pub mean: f64,
    /// The standard deviation, as a share of the mean.
    pub cv: f64,
}

/// How holds, masses and places scatter from module to module: independently and normally.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// The magnet force of every module.
    pub magnet: Spread,
    /// The cup force of every module.
    pub cup: Spread,
    /// The standard deviation of every mass with its payload, as a share of it.
    pub mass_cv: f64,
    /// The standard deviation of where a module stands, along each axis, in metres.
    pub place_m: f64,
    /// The standard deviation of the direction in which it stands, in radians.
    pub place_rad: f64,
}

impl Default for Scatter {
    /// Holds of a coefficient of variation of 10 % about their rated figures; masses and places as in the scene.
    fn default() -> Self {
        let spread = Spread { mean: 1.0, cv: 0.1 };
        Self { magnet: spread, cup: spread, mass_cv: 0.0, place_m: 0.0, place_rad: 0.0 }
    }
}

impl Scatter {
    /// Whether what bonds need does not scatter.
    pub(super) fn demands_are_fixed(&self) -> bool {
        self.mass_cv == 0.0 && self.place_m == 0.0 && self.place_rad == 0.0
    }

    /// The standard deviation of where a module is along an axis, at a distance from what it stands on.
    pub(super) fn shift_m(&self, distance_m: f64) -> f64 {
        (self.place_m.powi(2) + (self.place_rad * distance_m).powi(2)).sqrt()
    }
}
