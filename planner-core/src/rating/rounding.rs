//! Rounding that never makes a rated number larger.

use crate::math::{log10, powf};

/// A positive number rounded down to so many significant digits; what is not positive is 0.
#[must_use]
pub fn rounded_down(value: f64, digits: i32) -> f64 {
    if !(value > 0.0 && value.is_finite()) {
        return 0.0;
    }
    let places = digits - 1 - log10(value).floor() as i32;
    // Powers of ten up to 1e22 are exact, so a quotient of two integers is the nearest number to the decimal.
    let scale = powf(10.0, f64::from(places.abs()));
    // A value that is such a decimal already may lie an ulp below it.
    let whole = |scaled: f64| (scaled * (1.0 + 4.0 * f64::EPSILON)).floor();
    if places < 0 { whole(value / scale) * scale } else { whole(value * scale) / scale }
}
