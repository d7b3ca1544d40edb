//! Measured poses become configurations that meet the rules exactly.

use super::stops::{ends, measured, stopped_at};
use crate::support::{Dice, fixture, planned};
use clamber_core::follow::{Measured, Scatter, Unsettled, settle};
use clamber_core::unstable::motion::{geometry_faults, is_sound_at_rest};
use clamber_core::{Body, GroundId};

/// The fixtures of which crews are stopped: drives over ground, stacks, hanging chains, stands with touches, lifts over a wall.
const STOPPED: [&str; 5] = ["row", "column", "stand", "boom", "headwall-low"];

fn cases() -> usize {
    std::env::var("CLAMBER_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(40)
}

/// Wherever the truth is sound the settled state is, and it is near the measured poses.
#[test]
fn random_stops_are_settled() {
    let scatter = Scatter::default();
    for (number, name) in STOPPED.into_iter().enumerate() {
        let (problem, plan) = planned(name);
        let mut dice = Dice::new(number as u64 + 1);
        let (mut sound, mut narrow, mut worst_m, mut unsound) = (0, 0, 0.0_f64, Vec::new());
        for case in 0..cases() {
            let at_s = dice.between(0.0, plan.summary.makespan_s);
            let stop = stopped_at(problem, plan, at_s);
            let poses = measured(&stop, &mut dice, scatter);
            if !ends(problem, &stop).iter().any(|there| is_sound_at_rest(problem, there)) {
                continue;
            }
            sound += 1;
            let blind = settle(problem, &poses, None).unwrap_or_else(|e| panic!("{name} at {at_s}: {e}"));
            assert!(
                geometry_faults(problem, &blind.configuration).is_empty(),
                "{name} at {at_s}: {:?}",
                blind.unsound
            );
            narrow += usize::from(!blind.is_sound());
            let settled = settle(problem, &poses, Some(&stop.truth))
                .unwrap_or_else(|e| panic!("{name} at {at_s}, case {case}: {e}"));
            assert!(
                geometry_faults(problem, &settled.configuration).is_empty(),
                "{name} at {at_s}: {:?}",
                settled.unsound
            );
            worst_m = settled.residuals.iter().map(|r| r.position_m).fold(worst_m, f64::max);
            if !settled.is_sound() {
                unsound.push((at_s, settled.unsound));
            }
        }
        println!(
            "{name}: {sound} sound stops, {} settled unsound ({narrow} without the plan), worst residual {:.3} mm",
            unsound.len(),
            worst_m * 1e3
        );
        assert!(unsound.is_empty(), "{name}: {unsound:#?}");
        assert!(worst_m < 1.5e-3, "{name}: {worst_m}");
        assert!(narrow * 50 <= sound.max(50), "{name}: without the plan nearly all are sound too");
        assert!(sound > cases() / 2, "{name}: most stops are sound");
    }
}

#[test]
fn exact_poses_stay() {
    for name in STOPPED {
        let (problem, plan) = planned(name);
        for share in [0.0, 0.31, 0.74, 1.0] {
            let stop = stopped_at(problem, plan, share * plan.summary.makespan_s);
            if !stop.hopping.is_empty() {
                continue;
            }
            let poses: Vec<Measured> =
                stop.truth.iter().map(|(_, place)| Measured::exactly(place, Scatter::default())).collect();
            let settled = settle(problem, &poses, Some(&stop.truth)).expect("it is where it can be");
            for ((_, truth), residual) in stop.truth.iter().zip(&settled.residuals) {
                assert!(residual.position_m < 1e-6, "{name}: {residual:?} {truth:?}");
            }
        }
    }
}

#[test]
fn contradictions_are_refused_in_words() {
    let (_, problem) = fixture("pair");
    let exact: Vec<Measured> =
        problem.start.iter().map(|(_, place)| Measured::exactly(place, Scatter::default())).collect();
    let refused = |change: &dyn Fn(&mut Vec<Measured>)| {
        let mut poses = exact.clone();
        change(&mut poses);
        settle(&problem, &poses, None).expect_err("it is refused")
    };
    let words = refused(&|poses| poses[0].position.z += 0.02).to_string();
    assert!(words.contains("m1 is measured 20.00 mm off the surface"), "{words}");
    let words = refused(&|poses| {
        poses[0].orientation = clamber_core::DQuat::from_rotation_x(0.2) * poses[0].orientation;
    });
    assert!(words.to_string().contains("m1 is measured turned by 11.46°"), "{words}");
    let invalid = refused(&|poses| poses[1].position.x = f64::NAN);
    assert!(matches!(invalid, Unsettled::Invalid(_)), "{invalid}");
    let invalid = refused(&|poses| poses[1].hopping_to = Some(Body::Ground(GroundId(40))));
    assert!(matches!(invalid, Unsettled::Invalid(_)), "{invalid}");
    let invalid = refused(&|poses| poses.truncate(1));
    assert!(matches!(invalid, Unsettled::Invalid(_)), "{invalid}");
    let invalid = refused(&|poses| poses[0].scatter.position_m = 0.0);
    assert!(matches!(invalid, Unsettled::Invalid(_)), "{invalid}");
}
