//! Arms over the invert.

use super::crew::{Crew, STAND_M};
use clamber_core::DVec3;

/// The places of an arm from its root, with the elevations of its links in degrees; it points along +x.
fn arm(root: DVec3, elevations: &[f64]) -> Vec<DVec3> {
    let mut places = vec![root];
    for elevation in elevations {
        let (sin, cos) = elevation.to_radians().sin_cos();
        places.push(places[places.len() - 1] + STAND_M * DVec3::new(cos, 0.0, sin));
    }
    places
}

#[test]
fn four_become_a_boom() {
    let mut crew = Crew::braced("boom");
    let places = arm(DVec3::new(-0.045, 0.0, 0.06), &[60.0, 15.0, -25.0]);
    crew.go("m1", "landing", places[0]);
    crew.go("m2", "m1", places[1]);
    crew.go("m3", "m2", places[2]);
    crew.go("m4", "m3", places[3]);
    crew.checked_with_braces();
}

#[test]
fn one_arm_becomes_two() {
    let mut crew = Crew::braced("twin-booms");
    let [left, right] = [0.15, -0.15].map(|y| arm(DVec3::new(-0.045, y, 0.06), &[60.0, 15.0]));
    crew.go("m5", "landing", left[0]);
    crew.go("m6", "landing", right[0]);
    crew.go("m4", "m5", left[1]);
    crew.go("m3", "m4", left[2]);
    crew.go("m2", "m6", right[1]);
    crew.go("m1", "m2", right[2]);
    crew.checked_with_braces();
}
