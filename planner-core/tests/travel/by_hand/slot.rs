//! Four modules over a slot of 70 mm.

use super::crew::{Crew, STAND_M, around};
use clamber_core::DVec3;

#[test]
fn all_four_get_across() {
    let mut crew = Crew::braced("slot");
    let level = 0.06;
    let at = |x: f64, y: f64| DVec3::new(x, y, level);
    let (near, far) = (0.0, 0.07);
    // From the near edge a second shell just reaches the far edge and leans on it, while m2 weighs on the other side.
    let root = at(near - 0.04, 0.0);
    let lean = at(far, (STAND_M * STAND_M - (far - root.x).powi(2)).sqrt());
    crew.go("m1", "near", root);
    crew.go("m2", "m1", around(root, level, 180.0));
    crew.go("m4", "m1", around(root, level, -90.0));
    crew.go("m3", "m1", root + DVec3::new(0.0, 0.0, STAND_M));
    // It comes to its place level, so that it can hop sideways later without a turn, when nobody holds m1 down any more.
    crew.go("m3", "m1", around(root, level, 0.0));
    crew.go("m3", "m1", lean);
    // Two cross. The first stays where the bridge can reach it, the second becomes its counterweight.
    let far_root = at(far + 0.04, lean.y - (STAND_M * STAND_M - 0.04_f64.powi(2)).sqrt());
    crew.go("m4", "far", far_root);
    crew.go("m2", "far", at(0.4, 0.1));
    crew.go("m2", "m4", around(far_root, level, -35.0));
    // The bridge lets go of the near side and swings round to lean on it.
    crew.go("m3", "m4", lean);
    crew.go("m1", "near", at(-0.3, 0.2));
    crew.go("m3", "m4", around(far_root, level, 180.0));
    crew.go("m1", "far", at(0.4, 0.1));
    crew.go("m3", "far", at(0.3, -0.3));
    crew.go("m2", "far", around(far_root, level, -35.0));
    crew.checked_with_braces();
}
