//! The nine directions of gravity under which a load must be carried.

use crate::math::{DVec3, sin_cos};

/// Straight down and eight tilted directions.
pub const DIRECTIONS: usize = 9;

/// Unit vectors along gravity: down, then tilted by `sway_rad` towards azimuth 0°, 45°, … 315° (0° is +x, 90° is +y).
#[must_use]
pub fn gravity_directions(sway_rad: f64) -> [DVec3; DIRECTIONS] {
    let (sin, cos) = sin_cos(sway_rad);
    std::array::from_fn(|k| {
        if k == 0 {
            return DVec3::NEG_Z;
        }
        let (y, x) = sin_cos(std::f64::consts::FRAC_PI_4 * (k - 1) as f64);
        DVec3::new(sin * x, sin * y, -cos)
    })
}

/// One of the directions in words: `gravity straight down`, `gravity tilted 3° towards +x`.
#[must_use]
pub fn describe_direction(index: usize, sway_rad: f64) -> String {
    const TOWARDS: [&str; 8] = ["+x", "+x+y", "+y", "-x+y", "-x", "-x-y", "-y", "+x-y"];
    match index.checked_sub(1).and_then(|k| TOWARDS.get(k)) {
        None => "gravity straight down".into(),
        Some(towards) => {
            let degrees = format!("{:.2}", sway_rad.to_degrees());
            let degrees = degrees.trim_end_matches('0').trim_end_matches('.');
            format!("gravity tilted {degrees}° towards {towards}")
        }
    }
}
