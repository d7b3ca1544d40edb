//! Six modules over a wall of 1.5 heights.

use super::crew::{Crew, STAND_M, around};
use clamber_core::DVec3;

#[test]
fn all_six_get_up() {
    let mut crew = Crew::braced("headwall");
    let at = DVec3::new;
    let (floor, up) = (0.06, 0.24);
    let base = at(-0.06, 0.0, floor);
    let step = base + at(0.0, 0.0, STAND_M);
    // Three climb over a stack of two at the wall; m2 weighs on the far side.
    crew.go("m1", "apron", base);
    crew.go("m2", "m1", base - at(0.0, STAND_M, 0.0));
    crew.go("m3", "m1", step);
    let top = step + at(0.0, 0.0, STAND_M);
    for (who, place) in [("m4", at(0.3, 0.2, up)), ("m5", at(0.3, 0.4, up)), ("m6", at(0.3, -0.2, up))] {
        crew.go(who, "m3", top);
        crew.go(who, "sill", place);
    }
    // One goes to the brink, the second weighs on it from inside, the third hangs over the edge against the wall, beside the top of the stack.
    let hang = up - (STAND_M * STAND_M - 0.01_f64).sqrt();
    let aside = (STAND_M * STAND_M - (hang - step.z).powi(2)).sqrt();
    let brink = at(0.04, aside, up);
    let hung = at(-0.06, aside, hang);
    crew.go("m4", "sill", brink);
    crew.go("m5", "m4", around(brink, up, 45.0));
    crew.go("m6", "m4", hung);
    // The top of the stack goes over to the hanging one without moving, so that it steadies the stack while m2 climbs it.
    crew.go("m3", "m6", step);
    crew.go("m2", "sill", at(0.3, -0.2, up));
    crew.go("m2", "m4", around(brink, up, -45.0));
    // The chain of two, down to the apron, and the last one over it.
    crew.go("m1", "apron", at(-0.3, 0.2, floor));
    let low = around(hung, floor, 90.0);
    crew.go("m3", "m6", low);
    crew.go("m1", "sill", at(0.3, 0.2, up));
    // The chain climbs itself.
    crew.go("m3", "sill", at(0.3, -0.2, up));
    crew.go("m6", "sill", at(0.3, 0.4, up));
    crew.go("m5", "sill", around(brink, up, 45.0));
    crew.go("m2", "sill", around(brink, up, -45.0));
    crew.checked_with_braces();
}
