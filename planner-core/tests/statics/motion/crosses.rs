//! Crosses over edges between grounds: where they end, and what refuses them (section 6 of the model).

use crate::support::{block, cobble, empty, on_deck};
use clamber_core::unstable::geometry::Slope;
use clamber_core::unstable::math::angle_between;
use clamber_core::unstable::motion::{MoveError, apply, duration_s};
use clamber_core::{DQuat, DVec2, DVec3, GroundId, Hold, Kind, Move, Problem};

/// Steps up to 4 mm and creases up to 12°.
fn crossing_kind() -> Kind {
    Kind { step_limit_m: 0.004, crease_limit_rad: 12_f64.to_radians(), cross_time_s: 2.5, ..cobble() }
}

/// A level deck west of x = 0, and one east of it that begins at a height and rises eastwards by these degrees. One module stands in the west, heading
/// east.
pub(super) fn scene(step_m: f64, degrees: f64, at: [f64; 2]) -> Problem {
    let west = block("west", [-0.5, -0.3], [0.0, 0.3], f64::NEG_INFINITY, 0.0, 0.7);
    let mut east = block("east", [0.0, -0.3], [0.5, 0.3], f64::NEG_INFINITY, 0.0, 0.5);
    east.1.top = Slope::rising(step_m, DVec2::X * degrees.to_radians().tan());
    let mut problem = empty(vec![crossing_kind()], vec![west, east]);
    on_deck(&mut problem, at);
    problem
}

pub(super) const FIRST: clamber_core::ModuleId = clamber_core::ModuleId(0);
const WEST: GroundId = GroundId(0);
pub(super) const EAST: GroundId = GroundId(1);

fn cross(problem: &Problem, travel_m: f64) -> Result<clamber_core::Configuration, MoveError> {
    apply(problem, &problem.start, FIRST, &Move::Cross { to: EAST, travel_m })
}

/// The way is measured from above, the sole ends in the new plane, and the body turns by the crease.
#[test]
fn it_ends_on_the_other_plane_and_leads_back() {
    for (step_m, degrees) in [(0.0, 0.0), (0.004, 0.0), (-0.004, 0.0), (0.0, 9.0), (0.002, -9.0)] {
        let problem = scene(step_m, degrees, [-0.05, 0.02]);
        let after = cross(&problem, 0.1).expect("it can cross");
        let (place, slope) = (after.get(FIRST), degrees.to_radians());
        let sole = DVec3::new(0.05, 0.02, step_m + 0.05 * slope.tan());
        let up = DVec3::new(-slope.sin(), 0.0, slope.cos());
        assert!(place.position.distance(sole + up * 0.06) < 1e-12, "{step_m} {degrees}");
        assert!(angle_between(place.up(), up) < 1e-9);
        assert!(place.heading().distance(DVec3::new(slope.cos(), 0.0, slope.sin())) < 1e-9);
        let back = Move::Cross { to: WEST, travel_m: -0.1 };
        let home = apply(&problem, &after, FIRST, &back).expect("it can cross back");
        assert!(home.get(FIRST).position.distance(problem.start.get(FIRST).position) < 1e-12);
        assert!(home.get(FIRST).heading().distance(DVec3::X) < 1e-9);
    }
}

#[test]
fn steps_creases_and_ways_beyond_their_limits_are_refused() {
    let crosses = |step_m: f64, degrees: f64, at: [f64; 2], travel_m: f64| {
        cross(&scene(step_m, degrees, at), travel_m).is_ok()
    };
    let near = [-0.05, 0.0];
    // The step limit and 1 mm, up and down.
    for sign in [1.0, -1.0] {
        assert!(crosses(sign * 0.004_999, 0.0, near, 0.1));
        assert!(!crosses(sign * 0.005_002, 0.0, near, 0.1));
        assert!(crosses(0.0, sign * 11.999, near, 0.1));
        assert!(!crosses(0.0, sign * 12.001, near, 0.1));
    }
    // At most four radii of the shell, and over the edge.
    assert!(crosses(0.0, 0.0, [-0.12, 0.0], 0.239_99) && !crosses(0.0, 0.0, [-0.12, 0.0], 0.240_01));
    assert!(!crosses(0.0, 0.0, [-0.12, 0.0], 0.11), "it ends before the edge");
    // The foot's radius to either side of the crossing point: the edge ends at y = ±0.3.
    assert!(crosses(0.0, 0.0, [-0.05, 0.26], 0.1) && !crosses(0.0, 0.0, [-0.05, 0.260_01], 0.1));
    // Square to the edge within 1e-3 rad.
    for (turned, allowed) in [(0.000_9, true), (0.001_1, false)] {
        let mut problem = scene(0.0, 0.0, near);
        problem.start.get_mut(FIRST).orientation = DQuat::from_rotation_z(turned);
        assert_eq!(cross(&problem, 0.1).is_ok(), allowed, "{turned}");
    }
    // Only rolling and bare.
    let mut braced = scene(0.0, 0.0, near);
    braced.start.get_mut(FIRST).hold = Hold::Braced;
    assert_eq!(cross(&braced, 0.1).unwrap_err(), MoveError::Braced);
}

/// The sole's centre may be 1 mm outside its ground: half-way over a pit across its way it is half the pit's width outside.
#[test]
fn a_pit_on_the_way_is_seen() {
    for (wide_m, allowed) in [(0.001_9, true), (0.002_1, false), (0.03, false)] {
        let (from, to) = (-0.07, -0.07 + wide_m);
        let part =
            |name: &str, low: [f64; 2], high: [f64; 2]| block(name, low, high, f64::NEG_INFINITY, 0.0, 0.7);
        let mut decks = vec![
            part("behind", [-0.5, -0.3], [from, 0.3]),
            part("left", [from, 0.05], [to, 0.3]),
            part("right", [from, -0.3], [to, -0.05]),
            part("ahead", [to, -0.3], [0.0, 0.3]),
            part("east", [0.0, -0.3], [0.5, 0.3]),
        ];
        decks[4].2.friction = 0.5;
        let mut problem = empty(vec![crossing_kind()], decks);
        assert_eq!(problem.grounds.len(), 2);
        on_deck(&mut problem, [-0.12, 0.0]);
        assert_eq!(cross(&problem, 0.23).is_ok(), allowed, "{wide_m}");
    }
}

/// The longer of the time of a cross and that of a drive of the same length.
#[test]
fn it_takes_its_time() {
    let problem = scene(0.0, 0.0, [-0.1, 0.0]);
    let time_s =
        |travel_m: f64| duration_s(&problem, FIRST, Hold::Rolling, &Move::Cross { to: EAST, travel_m });
    assert_eq!(time_s(0.1), 2.5);
    assert_eq!(time_s(-0.2), 0.2 / problem.kinds[0].slide_speed_mps);
}
