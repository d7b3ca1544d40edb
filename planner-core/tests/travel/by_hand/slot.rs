//! Four modules over a slot of 70 mm.

use super::crew::{Crew, STAND_M, around};
use clamber_core::DVec3;

#[test]
fn all_four_get_across() {
    let mut crew = Crew::braced("slot");
    let level = 0.06;
    let at = |x: f64, y: f64| DVec3::new(x, y, level);
    let (near, far) = (0.0, 0.07);
    // A bridge leans on the brink of the near deck. Its root stands beside it, near enough to the far root for a hop of less than 100°.
    let bridge = at(near, 0.0);
    let root = at(near - 0.04, -(STAND_M * STAND_M - 0.04_f64.powi(2)).sqrt());
    let far_root = at(far + 0.04, -(STAND_M * STAND_M - (far + 0.04 - near).powi(2)).sqrt());
    let [beside, behind] = [2.0 * root - bridge, 2.0 * bridge - far_root];
    // Not quite opposite to the bridge, which swings round to the far deck in the end.
    let beyond = around(far_root, level, -58.0);
    // Above all three, touching each.
    let half = 0.5 * root.distance(far_root);
    let middle = 0.5 * (root + far_root) - bridge;
    let reach = STAND_M * STAND_M / (2.0 * (STAND_M * STAND_M - half * half).sqrt());
    let over = bridge
        + middle.normalize() * reach
        + DVec3::new(0.0, 0.0, (STAND_M * STAND_M - reach * reach).sqrt());
    crew.go("m1", "near", root);
    crew.go("m3", "m1", beside);
    crew.go("m2", "m1", bridge);
    crew.go("m4", "m2", behind);
    // One crosses, and the bridge changes over to it.
    crew.go("m3", "m2", far_root);
    crew.go("m3", "far", far_root);
    crew.go("m4", "m1", over);
    crew.go("m2", "m3", bridge);
    // The others go over it, the first as far as a counterweight on the other side.
    crew.go("m4", "m3", far_root + DVec3::new(0.0, 0.0, STAND_M));
    crew.go("m4", "m3", beyond);
    crew.go("m1", "far", at(0.4, 0.2));
    crew.go("m2", "far", at(0.3, 0.3));
    crew.go("m4", "far", beyond);
    crew.checked_with_braces();
}
