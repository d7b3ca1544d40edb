//! Four modules over a wall of 0.75 heights.

use super::crew::{Crew, STAND_M, around};
use clamber_core::DVec3;

#[test]
fn all_four_get_up() {
    let mut crew = Crew::braced("weir");
    let at = DVec3::new;
    let brink = at(0.04, 0.0, 0.15);
    // Touches the wall and is as far from the brink as modules stand from each other.
    let hung = at(-0.06, 0.0, 0.15 - (STAND_M * STAND_M - 0.01_f64).sqrt());
    let base = around(hung, 0.06, 90.0);
    // A step: m3 leans on the wall, held by m1 on the apron and by m2, which weighs on m1's far side.
    crew.go("m1", "apron", base);
    crew.go("m2", "m1", base + at(0.0, STAND_M, 0.0));
    crew.go("m3", "m1", hung);
    crew.go("m4", "sill", brink);
    // The step lets go of the ground: it hangs from m4 and wedges itself against the wall.
    crew.go("m3", "m4", hung);
    // m1 cannot hop onto m3 from the apron, the pivot is too large: it hops onto m2's side and from there onto m3.
    let rise = base.z - hung.z;
    let sin = -STAND_M / (2.0 * (STAND_M * STAND_M - rise * rise).sqrt());
    crew.go("m2", "apron", around(base, 0.06, 180.0 - sin.asin().to_degrees()));
    crew.go("m1", "m3", base);
    // Over the chain, which rests on the apron.
    crew.go("m2", "m1", base + at(0.0, 0.0, STAND_M));
    crew.go("m2", "m4", brink + STAND_M * at(0.5_f64.sqrt(), -0.5_f64.sqrt(), 0.0));
    crew.go("m1", "sill", at(0.3, 0.2, 0.15));
    crew.go("m3", "m4", brink + at(0.0, 0.0, STAND_M));
    crew.go("m3", "m4", brink + at(0.0, STAND_M, 0.0));
    crew.go("m2", "sill", at(0.4, 0.0, 0.15));
    crew.go("m3", "sill", brink + at(0.0, STAND_M, 0.0));
    crew.checked_with_braces();
}
