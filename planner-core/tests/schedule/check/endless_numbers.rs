//! Plans with numbers far beyond any sense are judged or refused, and soon.

use crate::support::{Asks, fixture, planned};
use clamber_core::unstable::check::check;
use clamber_core::unstable::control::Stopped;
use clamber_core::{DQuat, DVec3, Interrupt, Move, Plan};

/// As many load cases as a step may take before its plan counts as one that never ends.
const MOST_ASKS: u64 = 4000;

fn is_judged(name: &str, change: impl Fn(&mut Plan, usize)) {
    let (problem, plan) = planned(name);
    for index in 0..plan.steps.len() {
        let mut changed = plan.clone();
        change(&mut changed, index);
        let asks = Asks::new(MOST_ASKS * plan.steps.len() as u64, Stopped::Spent);
        let interrupt = || asks.answer();
        let report = check(problem, &changed, Interrupt::new(&interrupt));
        assert!(report.is_ok(), "{name}, step {index}: {} load cases and no end", asks.count());
    }
}

#[test]
fn every_number_of_a_step() {
    assert!(fixture("pair").1.modules.len() > 1);
    let values = [9e18, -9e18, 1e9, 1e300, f64::MAX, 1e-300, 99.0, -101.0];
    for value in values {
        for name in ["pair", "headwall-low"] {
            is_judged(name, |plan, index| match &mut plan.steps[index].action {
                Move::Yaw { angle_rad } => *angle_rad = value,
                Move::Slide { travel_m, .. } => *travel_m = value,
                _ => plan.steps[index].start_s = value.abs(),
            });
            is_judged(name, |plan, index| match &mut plan.steps[index].action {
                Move::Slide { curvature_per_m, .. } => *curvature_per_m = value,
                _ => plan.steps[index].duration_s = value.abs(),
            });
            is_judged(name, |plan, index| {
                plan.steps[index].end.position = DVec3::splat(value);
                plan.steps[index].end.orientation = DQuat::from_xyzw(value, 0.0, 0.0, 1.0);
            });
        }
    }
}
