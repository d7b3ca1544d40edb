//! Pieces of slides against closed forms of the ways, and the model page's rule for durations.

use super::crews_tests::{Dice, crew_on};
use super::pieces::cut;
use crate::math::{DVec2, DVec3, angle_between};
use crate::model::{Body, GroundId, Hold, ModuleId, Placement, Problem};
use crate::motion::{Move, apply, duration_s};

const SLIDER: ModuleId = ModuleId(0);

fn slide(travel_m: f64, curvature_per_m: f64) -> Move {
    Move::Slide { travel_m, curvature_per_m }
}

/// Where the first module is before the first piece and after each.
fn stops(problem: &Problem, pieces: &[(ModuleId, Move)]) -> Vec<Placement> {
    let mut now = problem.start.clone();
    let mut stops = vec![*now.get(SLIDER)];
    for (module, action) in pieces {
        now = apply(problem, &now, *module, action).expect("pieces can be driven");
        stops.push(*now.get(SLIDER));
    }
    stops
}

/// Section 6 of the model page.
fn ruled_s(problem: &Problem, travel_m: f64, curvature_per_m: f64) -> f64 {
    let kind = problem.kind(SLIDER);
    let full_s = (travel_m.abs() / kind.slide_speed_mps)
        .max((travel_m * curvature_per_m).abs() / kind.yaw_rate_rolling_radps);
    if full_s < kind.ramp_time_s {
        2.0 * (full_s * kind.ramp_time_s).sqrt()
    } else {
        full_s + kind.ramp_time_s
    }
}

/// Pieces of about one diameter that together are as long as the slide, and no slower than a slide of their length; together they take no less than
/// the slide.
#[track_caller]
fn are_fair(problem: &Problem, pieces: &[(ModuleId, Move)], travel_m: f64, curvature_per_m: f64) {
    let diameter_m = 2.0 * problem.kind(SLIDER).shell_radius_m;
    let (mut way_m, mut time_s) = (0.0, 0.0);
    for (module, action) in pieces {
        let Move::Slide { travel_m: own_m, curvature_per_m: own } = *action else { panic!("{action:?}") };
        assert_eq!((*module, own), (SLIDER, curvature_per_m));
        assert!(own_m.abs() <= 1.5 * diameter_m + 1e-9 && own_m * travel_m > 0.0, "{own_m} of {travel_m}");
        assert!(pieces.len() == 1 || own_m.abs() >= diameter_m / 1.5, "{own_m} of {travel_m}");
        let own_s = duration_s(problem, SLIDER, Hold::Rolling, action);
        assert!((own_s - ruled_s(problem, own_m, own)).abs() < 1e-9);
        (way_m, time_s) = (way_m + own_m, time_s + own_s);
    }
    assert!((way_m - travel_m).abs() < 1e-12);
    assert!(time_s >= ruled_s(problem, travel_m, curvature_per_m) - 1e-9);
}

/// On a deck every stop lies on the circle or the line, evenly spaced, with the heading along it.
#[test]
fn on_a_deck() {
    let mut dice = Dice::new(3);
    for _ in 0..60 {
        let travel_m = dice.between(-1.2, 1.2);
        let curvature = if dice.below(3) == 0 { 0.0 } else { dice.between(-8.0, 8.0) };
        let mut problem = crew_on(&[0.0]);
        let at = DVec2::new(0.2, -0.1);
        let ground = problem.ground(GroundId(0));
        let facing = DVec3::new(1.0, 0.0, 0.0);
        let place = Placement::on_ground(GroundId(0), ground, &problem.kinds[0], at, Some(facing));
        *problem.start.get_mut(SLIDER) = place.expect("it faces along x");
        let pieces = cut(&problem, &[(SLIDER, slide(travel_m, curvature))]);
        are_fair(&problem, &pieces, travel_m, curvature);
        for (k, stop) in stops(&problem, &pieces).iter().enumerate() {
            let way_m = travel_m * k as f64 / pieces.len() as f64;
            let angle = curvature * way_m;
            let chord = if curvature == 0.0 {
                DVec2::new(way_m, 0.0)
            } else {
                DVec2::new(angle.sin(), 1.0 - angle.cos()) / curvature
            };
            let there = (at + chord).extend(problem.kinds[0].ride_height_m);
            assert!(stop.position.distance(there) < 1e-9, "{travel_m} {curvature}: {k}");
            let heading = DVec3::new(angle.cos(), angle.sin(), 0.0);
            assert!(stop.heading().distance(heading) < 1e-9, "{travel_m} {curvature}: {k}");
        }
    }
}

/// On a shell every stop is on one circle about an axis through the host's centre, and the sole goes the same way from stop to stop. The end is that of
/// the slide. A slide once round a great circle ends where it began.
#[test]
fn on_a_shell() {
    let mut dice = Dice::new(5);
    for case in 0..60 {
        let curvature = if case % 3 == 0 { 0.0 } else { dice.between(-10.0, 10.0) };
        let mut problem = crew_on(&[0.0, 0.4]);
        let (kind, host) = (problem.kinds[0].clone(), ModuleId(1));
        let centre = problem.start.get(host).position;
        let round_m = std::f64::consts::TAU * kind.shell_radius_m;
        let travel_m = if case % 9 == 0 { round_m } else { dice.between(-0.5, 0.5) };
        let up = DVec3::new(dice.between(-1.0, 1.0), dice.between(-1.0, 1.0), 1.0);
        let place = Placement::on_shell(host, centre, &kind, &kind, up, Some(DVec3::new(0.3, 0.8, 0.1)));
        *problem.start.get_mut(SLIDER) = place.expect("a direction");
        let pieces = cut(&problem, &[(SLIDER, slide(travel_m, curvature))]);
        are_fair(&problem, &pieces, travel_m, curvature);
        let stops = stops(&problem, &pieces);
        let (first, last) = (stops[0], stops[stops.len() - 1]);
        let whole =
            apply(&problem, &problem.start, SLIDER, &slide(travel_m, curvature)).expect("it can be driven");
        assert!(last.position.distance(whole.get(SLIDER).position) < 1e-9, "{travel_m} {curvature}");
        assert!(last.heading().distance(whole.get(SLIDER).heading()) < 1e-9, "{travel_m} {curvature}");
        // A circle of geodesic curvature k on a ball of radius R: its axis is R k along the normal and 1 along the left, made a unit.
        let left = first.up().cross(first.heading());
        let axis = (left + first.up() * (kind.shell_radius_m * curvature)).normalize();
        let angle = travel_m / kind.shell_radius_m * (1.0 + (kind.shell_radius_m * curvature).powi(2)).sqrt();
        for (k, stop) in stops.iter().enumerate() {
            let turn = crate::math::DQuat::from_axis_angle(axis, angle * k as f64 / pieces.len() as f64);
            assert!(angle_between(stop.up(), turn * first.up()) < 1e-9, "{travel_m} {curvature}: {k}");
            assert!(
                angle_between(stop.heading(), turn * first.heading()) < 1e-9,
                "{travel_m} {curvature}: {k}"
            );
            assert_eq!(stop.host, Body::Module(host));
        }
        if curvature == 0.0 && travel_m == round_m {
            assert!(last.position.distance(first.position) < 1e-9);
        }
    }
}

/// Other moves and short slides stay as they are, each in its place.
#[test]
fn what_is_not_long_stays() {
    let problem = crew_on(&[0.0, 0.4]);
    let other = ModuleId(1);
    let moves = [
        (SLIDER, Move::Yaw { angle_rad: 3.0 }),
        (other, slide(0.17, 2.0)),
        (SLIDER, Move::Brace),
        (SLIDER, slide(-0.36, 0.0)),
        (SLIDER, Move::DRIVE_ON_THE_SPOT),
        (other, Move::Hop { to: Body::Module(SLIDER) }),
    ];
    let mut expected = moves.to_vec();
    expected.splice(3..4, [(SLIDER, slide(-0.12, 0.0)); 3]);
    assert_eq!(cut(&problem, &moves), expected);
}
