//! Plans of the first edition of the model page are still read, judged by its rules, and written as they were.

use clamber_core::unstable::motion::duration_s;
use clamber_core::{Edition, Move, Rule, check_plan, read_plan, write_plan};

/// A plan that version 0.1.0 made for the scene `pair` when the first edition was the page.
const PAIR: &str = include_str!("first_edition_pair.json");

#[test]
fn a_plan_of_the_first_edition_is_sound_by_its_rules() {
    let (scenario, problem, plan, facts) =
        read_plan("pair.json", PAIR).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!(problem.edition, Edition::First);
    assert!(facts.scenario_is_resolved && facts.actual_sha256 == facts.recorded_sha256);
    let report = check_plan(&problem, &plan).expect("its values make sense");
    assert!(report.is_sound(), "{:?}", report.findings);
    // Section 6 of the first edition: |travel| / slide_speed with 0.05 m/s, |angle| / yaw_rate with 0.8 rad/s.
    for step in &plan.steps {
        let expected = match step.action {
            Move::Slide { travel_m, .. } => travel_m.abs() / 0.05,
            Move::Yaw { angle_rad } => angle_rad.abs() / 0.8,
            _ => continue,
        };
        assert!((step.duration_s - expected).abs() < 1e-9, "{} s, expected {expected}", step.duration_s);
    }
    let curved = Move::Slide { travel_m: 0.1, curvature_per_m: 40.0 };
    let slide_s = duration_s(&problem, plan.steps[0].module, clamber_core::Hold::Rolling, &curved);
    assert!((slide_s - 2.0).abs() < 1e-12, "{slide_s} s");
    let written = write_plan(&scenario, &problem, &plan).expect("finite numbers");
    let again = read_plan("pair.json", &written).unwrap_or_else(|problems| panic!("{problems}"));
    assert!(written.contains("\"clamber-plan/1\"") && again == (scenario, problem, plan, facts));
}

/// The same moves under the second edition: drives ramp, so the figures are other ones, and defaults are missing.
#[test]
fn under_the_second_edition_it_is_another_plan() {
    let text = PAIR.replacen("clamber-plan/1", "clamber-plan/2", 1);
    let (_, problem, plan, facts) =
        read_plan("pair.json", &text).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!(problem.edition, Edition::Second);
    assert!(!facts.scenario_is_resolved);
    let report = check_plan(&problem, &plan).expect("its values make sense");
    let drives = |action: Move| matches!(action, Move::Slide { .. } | Move::Yaw { .. });
    for (index, step) in plan.steps.iter().enumerate() {
        let is_other = report.findings.iter().any(|finding| {
            (finding.rule, finding.step) == (Rule::Figure, Some(index))
                && finding.message.contains("duration_s")
        });
        assert_eq!(is_other, drives(step.action), "step {index}: {:?}", step.action);
    }
}
