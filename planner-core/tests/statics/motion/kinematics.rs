//! Slides and yaws against step-by-step integration of the way they are defined.

use crate::support::{Dice, crew, fixed};
use clamber_core::Move;
use clamber_core::unstable::math::angle_between;
use clamber_core::unstable::motion::Stretch;
use clamber_core::unstable::motion::apply;
use clamber_core::{Body, ModuleId, Placement, Problem};
use clamber_core::{DQuat, DVec3};
use proptest::prelude::*;

/// Position and directions of a sole that travels.
#[derive(Clone, Copy)]
struct Frame {
    sole: DVec3,
    forward: DVec3,
    up: DVec3,
}

impl Frame {
    fn plus(self, rate: Self, step: f64) -> Self {
        Self {
            sole: self.sole + rate.sole * step,
            forward: self.forward + rate.forward * step,
            up: self.up + rate.up * step,
        }
    }
}

/// Darboux frame of a curve on a sphere of a radius (infinite: a plane): `p' = t`, `t' = k·(n×t) − n/R`, `n' = t/R`.
fn rate(frame: Frame, curvature: f64, radius: f64) -> Frame {
    let left = frame.up.cross(frame.forward);
    Frame { sole: frame.forward, forward: left * curvature - frame.up / radius, up: frame.forward / radius }
}

/// Runge–Kutta of fourth order.
fn integrate(mut frame: Frame, travel: f64, curvature: f64, radius: f64) -> Frame {
    let count = 400;
    let step = travel / f64::from(count);
    for _ in 0..count {
        let f = |x| rate(x, curvature, radius);
        let a = f(frame);
        let b = f(frame.plus(a, 0.5 * step));
        let c = f(frame.plus(b, 0.5 * step));
        let d = f(frame.plus(c, step));
        frame = frame.plus(a, step / 6.0).plus(b, step / 3.0).plus(c, step / 3.0).plus(d, step / 6.0);
    }
    frame
}

fn frame_of(problem: &Problem, id: ModuleId, place: &Placement) -> Frame {
    Frame { sole: place.sole(problem.kind(id)), forward: place.heading(), up: place.up() }
}

proptest! {
    #![proptest_config(fixed(200))]

    /// A slide keeps its geodesic curvature and carries what stands on it rigidly, to every share of the way.
    #[test]
    fn slides_follow_their_curvature(
        seed in any::<u64>(), travel_m in -0.3..0.3_f64, curvature_per_m in -40.0..40.0_f64, share in 0.0..1.0_f64,
    ) {
        let dice = &mut Dice::new(seed);
        let mut problem = crew(dice, 5, 0.3);
        let mover = ModuleId::at(dice.below(5));
        problem.start.get_mut(mover).hold = clamber_core::Hold::Rolling;
        let action = Move::Slide { travel_m, curvature_per_m };
        let after = apply(&problem, &problem.start, mover, &action).expect("a rolling module can slide");
        let there = Stretch::of_move(&problem, &problem.start, mover, &action, &after).at(share);
        let radius = match problem.start.get(mover).host {
            Body::Module(host) => problem.kind(host).shell_radius_m,
            Body::Ground(_) | Body::Stone(_) => f64::INFINITY,
        };
        let begin = frame_of(&problem, mover, problem.start.get(mover));
        let expected = integrate(begin, travel_m * share, curvature_per_m, radius);
        let found = frame_of(&problem, mover, there.get(mover));
        prop_assert!(found.sole.distance(expected.sole) < 1e-8, "{} and {}", found.sole, expected.sole);
        prop_assert!(angle_between(found.forward, expected.forward) < 1e-7);
        prop_assert!(angle_between(found.up, expected.up) < 1e-7);
        prop_assert!(is_rigid(&problem, mover, there.get(mover), &there));
    }

    /// A yaw turns about body z by its angle, right-handed.
    #[test]
    fn yaws_turn_about_body_z(seed in any::<u64>(), angle_rad in -6.0..6.0_f64, share in 0.0..1.0_f64) {
        let dice = &mut Dice::new(seed);
        let problem = crew(dice, 5, 0.3);
        let mover = ModuleId::at(dice.below(5));
        let action = Move::Yaw { angle_rad };
        let after = apply(&problem, &problem.start, mover, &action).expect("anybody can yaw");
        let there = Stretch::of_move(&problem, &problem.start, mover, &action, &after).at(share);
        let (before, place) = (problem.start.get(mover), there.get(mover));
        let left = before.up().cross(before.heading());
        let expected = before.heading() * (angle_rad * share).cos() + left * (angle_rad * share).sin();
        prop_assert!(place.position.distance(before.position) < 1e-12);
        prop_assert!(angle_between(place.up(), before.up()) < 1e-12);
        prop_assert!(angle_between(place.heading(), expected) < 1e-12);
        prop_assert!(is_rigid(&problem, mover, place, &there));
    }
}

/// Whether all carried keep their places in the mover's frame and everybody else its place in the world.
fn is_rigid(
    problem: &Problem,
    mover: ModuleId,
    place: &Placement,
    there: &clamber_core::Configuration,
) -> bool {
    let begin = problem.start.get(mover);
    let turn: DQuat = place.orientation * begin.orientation.inverse();
    there.iter().all(|(id, now)| {
        let before = problem.start.get(id);
        let carried = id == mover || problem.start.hosts_below(id).any(|b| b == Body::Module(mover));
        if !carried {
            return now == before;
        }
        let expected = place.position + turn * (before.position - begin.position);
        now.position.distance(expected) < 1e-10
            && angle_between(now.up(), turn * before.up()) < 1e-10
            && angle_between(now.heading(), turn * before.heading()) < 1e-10
            && now.host == before.host
            && now.hold == before.hold
    })
}
