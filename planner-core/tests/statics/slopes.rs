//! Modules and stacks on slopes, at the angles at which they slip and tip.

use crate::support::{bare_ground, brace_all, cobble, empty, on_deck, on_shell};
use clamber_core::unstable::geometry::Slope;
use clamber_core::unstable::motion::is_sound_at_rest;
use clamber_core::{DVec2, Problem};

/// A stack of so many modules square to a slope of these degrees, which rises in this direction.
fn stack(count: usize, friction: f64, degrees: f64, towards: f64) -> Problem {
    let mut ground = bare_ground(friction);
    ground.1.top = Slope::rising(0.02, DVec2::from_angle(towards) * degrees.to_radians().tan());
    let mut problem = empty(vec![cobble()], vec![ground]);
    let up = problem.grounds[0].plane.normal;
    let mut below = on_deck(&mut problem, [0.2, -0.1]);
    for _ in 1..count {
        below = on_shell(&mut problem, below, up);
    }
    brace_all(&mut problem);
    problem
}

/// On bare ground a module slips at `atan(0.93 μ)` less the sway, and a stack of n tips at `atan(b / height of its centre of mass)` less the sway: with
/// the demo kind 30.06413° (μ 0.7), 35.65981°, 16.98306° and 10.24050°. The slope rises towards one of the eight azimuths of the sway.
#[test]
fn slopes_on_which_stacks_slip_and_tip() {
    let tips = |height: f64| (0.04 / height).atan().to_degrees() - 3.0;
    let cases = [
        (1, 0.7, (0.93_f64 * 0.7).atan().to_degrees() - 3.0),
        (1, 1.0, tips(0.05)),
        (2, 1.0, tips(0.11)),
        (3, 1.0, tips(0.17)),
    ];
    for (count, friction, limit) in cases {
        for eighth in 0..8 {
            let towards = f64::from(eighth) * std::f64::consts::FRAC_PI_4;
            let holds = |degrees: f64| {
                let problem = stack(count, friction, degrees, towards);
                is_sound_at_rest(&problem, &problem.start)
            };
            assert!(holds(limit - 1e-3), "{count} on {friction}: {limit}");
            assert!(!holds(limit + 1e-3), "{count} on {friction}: {limit}");
        }
    }
}

/// The tilt of a rough deck is one more sway for what stands on it.
#[test]
fn rough_ground_tilts_gravity_further() {
    let problem = |rough_deg: f64, degrees: f64| {
        let mut problem = stack(2, 1.0, degrees, 0.0);
        problem.grounds[0].surfacing.tilt_rad = rough_deg.to_radians();
        problem
    };
    let limit = (0.04_f64 / 0.11).atan().to_degrees() - 3.0;
    for rough_deg in [0.0, 2.0, 5.0] {
        let holds = |degrees: f64| {
            let problem = problem(rough_deg, degrees);
            is_sound_at_rest(&problem, &problem.start)
        };
        assert!(holds(limit - rough_deg - 1e-3), "{rough_deg}");
        assert!(!holds(limit - rough_deg + 1e-3), "{rough_deg}");
    }
}
