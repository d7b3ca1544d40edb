//! What a rating says to look at again.

use super::made::{self, pull, series};
use clamber_core::Hold::Rolling;
use clamber_core::unstable::rating::{Ending, Pull, PullTests, Rating, RatingOptions, rate};

fn rated(pulls: Vec<Pull>) -> Rating {
    rate(&PullTests { rig_limit_n: Some(200.0), pulls }, &RatingOptions::default())
        .expect("the tests make sense")
}

fn says(rating: &Rating, words: &str) -> bool {
    rating.remarks.iter().any(|remark| remark.contains(words))
}

const STEADY: [f64; 10] = [30.0, 31.0, 29.5, 30.5, 30.2, 29.8, 31.2, 30.9, 29.3, 30.6];

#[test]
fn a_steady_series_needs_no_remark() {
    let rating = rated(series(Rolling, [0.0, 0.0], &STEADY));
    assert_eq!(rating.remarks, [] as [&str; 0]);
    assert!(rating.assumptions.len() >= 4);
}

#[test]
fn a_weak_module_is_flagged_and_counts_until_a_cause_is_recorded() {
    let mut forces = STEADY;
    forces[3] = 24.0;
    let mut pulls = series(Rolling, [0.0, 0.0], &forces);
    let with = rated(pulls.clone());
    assert_eq!(with.series[0].flagged, ["m3"]);
    assert!(
        says(&with, "module m3 is unusually weak") && says(&with, "skewed to the left"),
        "{:?}",
        with.remarks
    );
    pulls[3].dropped = Some("a shaving of steel lay under the foot".into());
    let without = rated(pulls);
    assert_eq!((without.series[0].modules, without.dropped.len()), (9, 1));
    assert_eq!(without.dropped[0].pull, "p3");
    assert!(without.series[0].limit_n > with.series[0].limit_n);
}

#[test]
fn too_few_tests_say_what_can_be_said_and_what_is_needed() {
    let three = rated(series(Rolling, [0.0, 0.0], &STEADY[..3]));
    assert_eq!((three.series[0].limit_n, three.series[0].needed.more_modules), (None, 2));
    for words in [
        "2 more modules are needed",
        "the lowest of 3 modules, 29.50 N, is a limit with 14 % confidence",
        "5 modules with the same mean",
    ] {
        assert!(says(&three, words), "{words}: {:?}", three.remarks);
    }
    let one = rated(series(Rolling, [0.0, 0.0], &STEADY[..1]));
    assert!(says(&one, "4 more modules are needed") && one.series[0].normal.is_none());
    assert!(one.figures[0].lacks_tests && one.figures[0].why.contains("too small to be rated"));
}

#[test]
fn pulls_that_held_must_not_be_too_many() {
    let held = |count: usize| {
        let mut pulls = series(Rolling, [0.0, 0.0], &STEADY);
        for pull in &mut pulls[..count] {
            (pull.force_n, pull.ending) = (200.0, Ending::Held);
        }
        rated(pulls)
    };
    assert!(held(4).series[0].limit_n.is_some() && says(&held(4), "4 of 10 pulls held"));
    let most = held(8);
    assert_eq!((most.series[0].limit_n, most.series[0].needed.more_known), (None, 1));
    assert!(says(&most, "1 more module must come off"), "{:?}", most.remarks);
    let all = held(10);
    assert!(all.series[0].normal.is_none() && (all.series[0].order.least_confidence - 0.4013).abs() < 1e-4);
}

#[test]
fn drifts_are_seen() {
    let warmer = |rate: f64| -> Vec<Pull> {
        let pulls = series(Rolling, [0.0, 0.0], &STEADY).into_iter().enumerate();
        pulls
            .map(|(i, pull)| {
                let kelvin = (i as f64 * 7.0) % 10.0;
                let force_n = pull.force_n * (1.0 - rate * kelvin);
                Pull { temperature_c: Some(15.0 + kelvin), force_n, ..pull }
            })
            .collect()
    };
    assert!(says(&rated(warmer(0.02)), "test at the hottest that the site sees"));
    assert!(!says(&rated(warmer(0.0)), "temperature"));
    let wearing: Vec<f64> = STEADY.iter().enumerate().map(|(i, f)| f * (1.0 - 0.03 * i as f64)).collect();
    assert!(says(&rated(series(Rolling, [0.0, 0.0], &wearing)), "from the first pull to the last"));
}

#[test]
fn rays_that_matter_are_asked_for() {
    let shell = |extra: Vec<Pull>| {
        let mut pulls = series(Rolling, [0.0, 0.0], &STEADY);
        pulls.extend(series(Rolling, [90.0, 0.0], &STEADY.map(|f| 0.55 * f)));
        pulls.extend(series(Rolling, [0.0, 0.04], &STEADY.map(|f| 0.5 * f)));
        pulls.extend(extra);
        rated(pulls)
    };
    let few = shell(Vec::new());
    assert!(
        says(&few, "no angled series lies within") && says(&few, "three times the radius"),
        "{:?}",
        few.remarks
    );
    let mut extra = series(Rolling, [60.0, 0.0], &STEADY.map(|f| 0.5 * f));
    extra.extend(series(Rolling, [0.0, 0.13], &STEADY.map(|f| 0.235 * f)));
    let all = shell(extra);
    assert!(!says(&all, "no angled series") && !says(&all, "three times"), "{:?}", all.remarks);
}

#[test]
fn groups_are_held_against_each_other() {
    let mut pulls: Vec<Pull> = Vec::new();
    for (index, force) in STEADY.into_iter().enumerate() {
        for (surface, share, batch) in [("dry", 1.0, "A"), ("wet", 0.8, "B")] {
            let mut pull = pull(pulls.len(), &format!("m{index}"), Rolling, [0.0, 0.0], force * share);
            pull.surface = surface.into();
            pull.labels.insert("batch".into(), if index % 2 == 0 { batch.into() } else { "C".into() });
            pulls.push(pull);
        }
    }
    let options = RatingOptions { compared: Some("batch".into()), ..RatingOptions::default() };
    let rating = rate(&made::tests([pulls]), &options).expect("the tests make sense");
    let of = |what: &str| rating.comparisons.iter().filter(|c| c.of == what).collect::<Vec<_>>();
    let surfaces = of("surface");
    assert_eq!((surfaces.len(), surfaces[0].first.as_str(), surfaces[0].second.as_str()), (1, "dry", "wet"));
    assert!(surfaces[0].welch.expect("a test").p < 1e-6);
    assert_eq!(of("batch").len(), 2);
    assert!(of("batch").iter().all(|c| c.welch.expect("a test").p > 0.01));
}
