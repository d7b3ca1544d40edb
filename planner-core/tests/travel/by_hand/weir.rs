//! Four modules over a wall of 0.75 heights.

use super::crew::{Crew, STAND_M, around};
use clamber_core::DVec3;

/// Height of the wall.
const EDGE_M: f64 = 0.09;

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
    // While the step hops onto m4, its shell slips on the wall, which holds nothing then: m2 has to weigh on m4 by that time. It gets there over m1,
    // and the step stands aside meanwhile.
    let beside = touching(brink, base, brink.z);
    crew.go("m3", "apron", at(-0.3, 0.0, 0.06));
    crew.go("m2", "m1", beside);
    crew.go("m3", "m1", hung);
    crew.go("m2", "m4", beside);
    crew.go("m3", "m4", hung);
    // The step moves aside and leans on the edge. m2 goes down again and hangs itself below it.
    let leaning = on_the_edge(hung, brink);
    let lowest = below(leaning);
    crew.go("m3", "m4", leaning);
    crew.go("m2", "m1", beside);
    crew.go("m2", "apron", lowest);
    crew.go("m1", "apron", touching(lowest, leaning, 0.06));
    crew.go("m2", "m3", lowest);
    // Over the chain, which rests on the apron; the last piece straight down, so that m1 heads right for its hop at the end, when a yaw would tip m4.
    let ahead = brink + STAND_M * at(0.75_f64.sqrt(), 0.5, 0.0);
    crew.go("m1", "m4", brink + at(0.0, 0.0, STAND_M));
    crew.go("m1", "m4", ahead);
    // The chain climbs up itself, while m1 and m3 weigh on the far side.
    let other = brink + STAND_M * at(0.75_f64.sqrt(), -0.5, 0.0);
    crew.go("m2", "m4", hung);
    crew.go("m3", "m4", brink + at(0.0, 0.0, STAND_M));
    crew.go("m3", "m4", other);
    crew.go("m2", "m4", brink + at(0.0, STAND_M, 0.0));
    crew.go("m2", "sill", brink + at(0.0, STAND_M, 0.0));
    crew.go("m1", "sill", ahead);
    crew.go("m3", "sill", other);
    crew.checked_with_braces();
}

/// The place at a height of a module that touches two others, on the right of the way from one to the other: two circles meet there.
fn touching(from: DVec3, to: DVec3, height: f64) -> DVec3 {
    let across = (to - from).truncate();
    let [near, far] = [from, to].map(|p| (STAND_M * STAND_M - (height - p.z).powi(2)).sqrt());
    let along = (across.length_squared() + near * near - far * far) / (2.0 * across.length());
    let aside = (near * near - along * along).sqrt();
    let ahead = across.normalize();
    (from.truncate() + ahead * along - ahead.perp() * aside).extend(height)
}

/// The place of a module that touches two touching ones, with no difference in y between them, and the wall's edge: on the circle about their middle.
fn on_the_edge(low: DVec3, high: DVec3) -> DVec3 {
    let (middle, radius) = (0.5 * (low + high), 0.75_f64.sqrt() * STAND_M);
    let up = (high - low).normalize().cross(DVec3::Y);
    let from_edge = middle - DVec3::new(0.0, middle.y, EDGE_M);
    let ahead = from_edge.dot(up);
    let rise = (ahead * ahead - from_edge.length_squared() + 0.06 * 0.06).sqrt() - ahead;
    middle + up * rise - DVec3::Y * (radius * radius - rise * rise).sqrt()
}

/// The place of a module that touches another, the wall and the apron.
fn below(high: DVec3) -> DVec3 {
    let (x, z) = (high.x + 0.06, high.z - 0.06);
    DVec3::new(-0.06, high.y + (STAND_M * STAND_M - x * x - z * z).sqrt(), 0.06)
}
