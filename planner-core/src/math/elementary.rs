//! Elementary functions that give the same bits on every processor.
//!
//! Those of the standard library come from the machine's C library, which selects an implementation by processor. These are compiled in (crate
//! `libm`, ported from musl; errors below one unit in the last place). Square roots need no replacement: IEEE 754 fixes every bit of them.

/// The sine of an angle in radians.
#[must_use]
pub fn sin(angle_rad: f64) -> f64 {
    libm::sin(angle_rad)
}

/// The cosine of an angle in radians.
#[must_use]
pub fn cos(angle_rad: f64) -> f64 {
    libm::cos(angle_rad)
}

/// The tangent of an angle in radians.
#[must_use]
pub fn tan(angle_rad: f64) -> f64 {
    libm::tan(angle_rad)
}

/// Sine and cosine of an angle in radians.
#[must_use]
pub fn sin_cos(angle_rad: f64) -> (f64, f64) {
    libm::sincos(angle_rad)
}

/// The angle in `[-π/2, π/2]` that has this sine; NaN outside `[-1, 1]`.
#[must_use]
pub fn asin(sine: f64) -> f64 {
    libm::asin(sine)
}

/// The angle in `[0, π]` that has this cosine; NaN outside `[-1, 1]`.
#[must_use]
pub fn acos(cosine: f64) -> f64 {
    libm::acos(cosine)
}

/// The angle in `(-π, π]` of the vector `(x, y)`.
#[must_use]
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// The length of the vector `(x, y)`, without overflow.
#[must_use]
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

/// The logarithm to base ten.
#[must_use]
pub fn log10(value: f64) -> f64 {
    libm::log10(value)
}

/// A power.
#[must_use]
pub fn powf(base: f64, exponent: f64) -> f64 {
    libm::pow(base, exponent)
}

/// `e` to a power.
#[must_use]
pub fn exp(power: f64) -> f64 {
    libm::exp(power)
}

/// The natural logarithm; NaN below 0.
#[must_use]
pub fn ln(value: f64) -> f64 {
    libm::log(value)
}

/// The complementary error function.
#[must_use]
pub fn erfc(value: f64) -> f64 {
    libm::erfc(value)
}
