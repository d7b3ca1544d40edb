//! A peer that rides.

use super::crew::Crew;
use clamber_core::DVec3;
use clamber_core::Move;
use std::f64::consts::PI;

#[test]
fn the_arm_carries_the_peer_across() {
    let mut crew = Crew::as_it_is("ferry");
    let at = |x: f64, y: f64| DVec3::new(x, y, 0.06);
    crew.go("peer", "boom", at(0.24, 0.0));
    crew.make("root", Move::Yaw { angle_rad: PI });
    crew.go("peer", "far", at(-0.4, 0.15));
    crew.checked_as_told();
}
