//! Pulls and options that make no sense are errors, never panics.

use super::made::{self, series};
use clamber_core::Hold::{Braced, Rolling};
use clamber_core::unstable::math::SplitMix64;
use clamber_core::unstable::rating::{
    Ending, OptionError, Pull, PullTests, RatingError, RatingOptions, rate,
};

fn fault(rig_limit_n: Option<f64>, change: impl Fn(&mut Pull)) -> String {
    let mut pulls = series(Rolling, [0.0, 0.0], &[30.0; 6]);
    change(&mut pulls[3]);
    match rate(&PullTests { rig_limit_n, pulls }, &RatingOptions::default()) {
        Err(RatingError::Pull { index: 3, fault }) => fault.field.to_owned(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn every_number_has_a_range_and_fits_the_others() {
    assert_eq!(fault(None, |p| p.force_n = -1.0), "force_n");
    assert_eq!(fault(None, |p| p.force_n = f64::NAN), "force_n");
    assert_eq!(fault(None, |p| p.angle_deg = 1.047), "angle_deg");
    assert_eq!(fault(None, |p| p.angle_deg = 91.0), "angle_deg");
    assert_eq!(fault(None, |p| p.offset_m = 40.0), "offset_m");
    assert_eq!(fault(None, |p| (p.angle_deg, p.offset_m) = (60.0, 0.04)), "offset_m");
    assert_eq!(fault(None, |p| p.temperature_c = Some(293.0)), "temperature_c");
    assert_eq!(fault(None, |p| (p.hold, p.vacuum_pa) = (Braced, Some(47.0))), "vacuum_pa");
    assert_eq!(fault(None, |p| p.vacuum_pa = Some(47e3)), "vacuum_pa");
    assert_eq!(fault(None, |p| p.ending = Ending::Held), "result");
    assert_eq!(fault(Some(31.0), |p| p.force_n = 31.0), "result");
    assert_eq!(fault(Some(31.0), |p| (p.force_n, p.ending) = (32.0, Ending::Held)), "force_n");
    assert_eq!(fault(None, |p| p.dropped = Some("outlier ".into())), "dropped");
}

#[test]
fn options_that_make_no_sense() {
    let tests = made::tests([series(Rolling, [0.0, 0.0], &[30.0, 31.0, 32.0])]);
    let refused = |options: RatingOptions| match rate(&tests, &options) {
        Err(RatingError::Option(error)) => error,
        other => panic!("{other:?}"),
    };
    let usual = RatingOptions::default;
    for value in [0.5, 1.0, f64::NAN, 95.0] {
        assert!(matches!(
            refused(RatingOptions { share: value, ..usual() }),
            OptionError::Probability { name: "share", .. }
        ));
        assert!(matches!(
            refused(RatingOptions { confidence: value, ..usual() }),
            OptionError::Probability { name: "confidence", .. }
        ));
    }
    assert!(matches!(
        refused(RatingOptions { surfaces: vec!["ice".into()], ..usual() }),
        OptionError::Surface { .. }
    ));
    let merged = vec![vec!["shell".into()]];
    assert!(matches!(refused(RatingOptions { merged, ..usual() }), OptionError::Merged { .. }));
    assert!(matches!(
        refused(RatingOptions { compared: Some("batch".into()), ..usual() }),
        OptionError::Column { .. }
    ));
    assert_eq!(rate(&PullTests::default(), &usual()), Err(RatingError::NoPulls));
    let mut mixed = series(Rolling, [0.0, 0.0], &[30.0, 31.0]);
    mixed[1].kind = "pebble".into();
    assert!(matches!(rate(&made::tests([mixed]), &usual()), Err(RatingError::Kinds(_))));
    let mut dropped = series(Rolling, [0.0, 0.0], &[30.0]);
    dropped[0].dropped = Some("the rope broke".into());
    assert_eq!(rate(&made::tests([dropped]), &usual()), Err(RatingError::NoPulls));
}

/// Pulls of equal force, of none, of all sizes and endings.
#[test]
fn nothing_panics() {
    let mut random = SplitMix64::new(3);
    for round in 0..300 {
        let mut pulls = Vec::new();
        for index in 0..1 + random.below(30) {
            let ray = [[0.0, 0.0], [60.0, 0.0], [0.0, 0.04]][random.below(3)];
            let force = [0.0, 30.0, 30.0, random.between(0.0, 120.0)][random.below(4)];
            let hold = [Rolling, Braced][random.below(2)];
            let mut pull = made::pull(index, &format!("m{}", random.below(8)), hold, ray, force);
            if random.below(4) == 0 {
                pull.ending = Ending::Held;
            }
            pulls.push(pull);
        }
        let options =
            RatingOptions { cup_area_m2: Some(1e-3), joint: round % 2 == 0, ..RatingOptions::default() };
        let tests = PullTests { rig_limit_n: Some(120.0), pulls };
        let rating = rate(&tests, &options).expect("the tests make sense");
        for figure in &rating.figures {
            assert!(figure.value.is_none_or(|value| value.is_finite() && value >= 0.0), "{figure:?}");
        }
    }
}
