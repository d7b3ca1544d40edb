//! How long moves take and what they cost: section 6 of the model page, worked out by hand.

use crate::support::{assert_near, bare_ground, cobble, empty, on_deck};
use clamber_core::unstable::motion::{duration_s, energy_j};
use clamber_core::{Body, Edition, GroundId, Hold, Kind, ModuleId, Move};

/// One module of the demo kind (0.05 m/s, 0.8 rad/s rolling, 0.3 rad/s braced) with a ramp time.
fn seconds(edition: Edition, ramp_time_s: f64, hold: Hold, action: Move) -> f64 {
    let mut problem = empty(vec![Kind { ramp_time_s, ..cobble() }], vec![bare_ground(0.7)]);
    problem.edition = edition;
    on_deck(&mut problem, [0.0, 0.0]);
    duration_s(&problem, ModuleId(0), hold, &action)
}

const fn slide(travel_m: f64, curvature_per_m: f64) -> Move {
    Move::Slide { travel_m, curvature_per_m }
}

const fn yaw(angle_rad: f64) -> Move {
    Move::Yaw { angle_rad }
}

#[test]
fn drives_ramp_up_and_down() {
    let (rolling, braced) = (Hold::Rolling, Hold::Braced);
    for (hold, action, expected) in [
        // 0.12 m at 0.05 m/s are 2.4 s, and 0.2 s more, either way.
        (rolling, slide(0.12, 0.0), 2.6),
        (rolling, slide(-0.12, 0.0), 2.6),
        // 5 mm are 0.1 s at full rate, less than the ramp: 2 √(0.1 · 0.2).
        (rolling, slide(0.005, 0.0), 0.282_842_712_474_619),
        // 10 mm are 0.2 s: both formulas give 0.4 s.
        (rolling, slide(0.010, 0.0), 0.4),
        (rolling, slide(0.0, 0.0), 0.0),
        // 0.1 m with 40 / m turn by 4 rad, which takes 5 s at 0.8 rad/s; with 8 / m the way is the longer.
        (rolling, slide(0.1, 40.0), 5.2),
        (rolling, slide(-0.1, -40.0), 5.2),
        (rolling, slide(0.1, -8.0), 2.2),
        // 1.8 rad: 2.25 s rolling, 6 s braced. 0.08 rad: 0.1 s.
        (rolling, yaw(1.8), 2.45),
        (braced, yaw(-1.8), 6.2),
        (rolling, yaw(0.08), 0.282_842_712_474_619),
        // Constants.
        (rolling, Move::Hop { to: Body::Ground(GroundId(0)) }, 4.0),
        (rolling, Move::Brace, 2.0),
        (braced, Move::Release, 1.0),
    ] {
        assert_near(seconds(Edition::Second, 0.2, hold, action), expected, 1e-12);
    }
}

#[test]
fn without_ramps() {
    for (action, expected) in
        [(slide(0.12, 0.0), 2.4), (slide(0.005, 0.0), 0.1), (slide(0.1, 40.0), 5.0), (yaw(1.8), 2.25)]
    {
        assert_near(seconds(Edition::Second, 0.0, Hold::Rolling, action), expected, 1e-12);
    }
    // The first edition limits no curved slide.
    assert_near(seconds(Edition::First, 0.0, Hold::Rolling, slide(0.1, 40.0)), 2.0, 1e-12);
}

/// The power of the move times its duration, ramps included: 6 W · 2.6 s, 4 W · 2.45 s, 6 W · 4 s; 15 J for a brace.
#[test]
fn ramps_cost_energy() {
    let mut problem = empty(vec![cobble()], vec![bare_ground(0.7)]);
    let module = on_deck(&mut problem, [0.0, 0.0]);
    let hop = Move::Hop { to: Body::Ground(GroundId(0)) };
    for (action, expected) in
        [(slide(0.12, 0.0), 15.6), (yaw(1.8), 9.8), (hop, 24.0), (Move::Brace, 15.0), (Move::Release, 0.0)]
    {
        let seconds = duration_s(&problem, module, Hold::Rolling, &action);
        assert_near(energy_j(&problem, module, &action, seconds), expected, 1e-12);
    }
}
