//! Orders that do not depend on rounding.

/// Width of a step: far above rounding, far below any length or time that matters.
const STEP: f64 = 1e-7;

/// A length in metres or a time in seconds, in whole steps of a tenth of a micrometre or microsecond. Sorting by this keeps the order of equal values, which
/// differ by rounding where a scene is turned, shifted or scaled.
#[must_use]
pub fn steps_of(value: f64) -> i64 {
    (value / STEP).round() as i64
}

/// The same as a number.
#[must_use]
pub fn rounded(value: f64) -> f64 {
    if value.is_finite() { (value / STEP).round() * STEP } else { value }
}
