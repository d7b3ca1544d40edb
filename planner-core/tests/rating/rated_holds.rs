//! Rated holds against closed forms.

use super::made::{self, pull, series};
use clamber_core::Hold::{Braced, Rolling};
use clamber_core::unstable::rating::{
    Figure, FigureName, LimitMethod, NormalHow, Pull, PullTests, Rating, RatingOptions, rate, rounded_down,
};

/// Forces about a centre, with a small scatter: all series alike, so that limits keep the ratios of the centres.
fn about(centre: f64) -> Vec<f64> {
    [-1.0, -0.5, 0.0, 0.5, 1.0, -0.7, 0.7, 0.2, -0.2, 0.0].map(|d| centre * (1.0 + 0.01 * d)).to_vec()
}

fn figure(rating: &Rating, name: FigureName) -> &Figure {
    rating.figures.iter().find(|figure| figure.name == name).expect("every figure is there")
}

fn unrounded(rating: &Rating, name: FigureName) -> f64 {
    figure(rating, name).unrounded.expect("it is rated")
}

const COBBLE: RatingOptions = RatingOptions {
    share: 0.95,
    confidence: 0.95,
    joint: false,
    method: LimitMethod::Normal,
    surfaces: Vec::new(),
    merged: Vec::new(),
    compared: None,
    foot_radius_m: Some(0.05),
    cup_area_m2: Some(1.2e-3),
};

/// H08 and H09 of the basis, 84 N braced, b = 40 mm, μ = 0.6: eccentric 56, 42, 28, 21 N; angled 47.6709, 42.5462, 40.9353, 46.8720 N.
#[test]
fn the_way_back_from_capacities_to_the_numbers_of_the_kind() {
    let rays = [
        ([0.0, 0.0], 84.0),
        ([0.0, 0.02], 56.0),
        ([0.0, 0.04], 42.0),
        ([0.0, 0.08], 28.0),
        ([0.0, 0.12], 21.0),
        ([30.0, 0.0], 47.6709),
        ([45.0, 0.0], 42.5462),
        ([60.0, 0.0], 40.9353),
        ([90.0, 0.0], 46.8720),
    ];
    let braced = rays.map(|(ray, force)| series(Braced, ray, &about(force)));
    let rating =
        rate(&made::tests(braced.into_iter().chain([series(Rolling, [0.0, 0.0], &about(30.0))])), &COBBLE)
            .expect("the tests make sense");
    let share = rating.series[0].limit_n.expect("a limit") / 84.0;
    assert!((unrounded(&rating, FigureName::MagnetForceN) - 30.0 * share).abs() < 1e-9);
    assert!((unrounded(&rating, FigureName::CupVacuumPa) - 54.0 * share / 1.2e-3).abs() < 1e-6);
    // The adhesion is rounded down to three digits first, which can only leave b and μ a little larger.
    let rounding = rating.braced_n.expect("rated") / (84.0 * share);
    assert!((0.99..=1.0).contains(&rounding), "{rounding}");
    let radius = unrounded(&rating, FigureName::PeelRadiusM);
    assert!((0.04..0.04 * 1.02).contains(&radius), "{radius}");
    let friction = unrounded(&rating, FigureName::BondFriction);
    assert!((0.6 - 1e-6..0.6 * 1.02).contains(&friction), "{friction}");
    assert!(rating.is_complete(), "{:?}", rating.figures);
    assert_eq!(figure(&rating, FigureName::MagnetForceN).value, Some(rounded_down(30.0 * share, 3)));
}

/// The worked example of five pulls: mean 109.0 N, s 6.5192 N, 95 %/95 % 81.602 N, log-normal 84.712 N.
#[test]
fn five_pulls() {
    let tests = made::tests([series(Rolling, [0.0, 0.0], &[112.0, 105.0, 118.0, 109.0, 101.0])]);
    let options = RatingOptions { method: LimitMethod::LogNormal, ..COBBLE };
    let rating = rate(&tests, &options).expect("the tests make sense");
    let series = &rating.series[0];
    let (normal, logarithms) = (series.normal.expect("a limit"), series.log_normal.expect("a limit"));
    assert!((series.mean_n - 109.0).abs() < 1e-12 && (series.sd_n.expect("five") - 6.5192).abs() < 1e-4);
    assert!((normal.limit_n - 81.602).abs() < 1e-3, "{normal:?}");
    assert!((logarithms.limit_n - 84.712).abs() < 1e-3, "{logarithms:?}");
    assert_eq!(series.limit_n, Some(logarithms.limit_n));
    assert!((series.order.least_confidence - 0.2262).abs() < 1e-4);
    assert_eq!((series.order.rank, series.order.modules_needed), (None, Some(59)));
    // By default the log-normal limit is not even worked out.
    assert_eq!(rate(&tests, &COBBLE).expect("the tests make sense").series[0].log_normal, None);
}

#[test]
fn the_weakest_surface_and_the_weakest_ray_decide() {
    let on = |surface: &str, pulls: Vec<Pull>| -> Vec<Pull> {
        pulls.into_iter().map(|pull| Pull { surface: surface.into(), ..pull }).collect()
    };
    let tests = made::tests([
        on("dry", series(Rolling, [0.0, 0.0], &about(32.0))),
        on("wet", series(Rolling, [0.0, 0.0], &about(30.0))),
        on("dry", series(Rolling, [90.0, 0.0], &about(18.0))),
        on("wet", series(Rolling, [90.0, 0.0], &about(12.0))),
    ]);
    let both = rate(&tests, &COBBLE).expect("the tests make sense");
    assert_eq!(figure(&both, FigureName::MagnetForceN).governed_by, Some(1));
    assert_eq!(figure(&both, FigureName::BondFriction).governed_by, Some(3));
    let dry =
        rate(&tests, &RatingOptions { surfaces: vec!["dry".into()], ..COBBLE }).expect("it makes sense");
    assert_eq!(dry.left_out, ["wet"]);
    assert!(unrounded(&dry, FigureName::MagnetForceN) > unrounded(&both, FigureName::MagnetForceN));
    let merged = vec![vec!["dry".into(), "wet".into()]];
    let one = rate(&tests, &RatingOptions { merged, ..COBBLE }).expect("the tests make sense");
    assert_eq!((one.series.len(), one.series[0].pulls, one.series[0].modules), (2, 20, 10));
    assert!(
        one.remarks.iter().any(|remark| remark.contains("dry and wet were merged, but differ")),
        "{:?}",
        one.remarks
    );
}

/// B4 of the basis: `s² = var(means) + (1 − 1/r) · mean variance within`, with the number of modules. Worked by hand for means 10, 12, 14, 16, 18
/// and pulls one below and one above each: 10 + ½ · 2 = 11.
#[test]
fn several_pulls_of_each_module() {
    let pulls: Vec<Pull> = (0..10)
        .map(|i| {
            let (module, side) = (i / 2, if i % 2 == 0 { -1.0 } else { 1.0 });
            pull(i, &format!("m{module}"), Rolling, [0.0, 0.0], 10.0 + 2.0 * module as f64 + side)
        })
        .collect();
    let rating = rate(&made::tests([pulls]), &COBBLE).expect("the tests make sense");
    let normal = rating.series[0].normal.expect("a limit");
    assert_eq!((rating.series[0].modules, rating.series[0].pulls), (5, 10));
    assert_eq!(normal.how, NormalHow::SeveralPulls);
    assert!((normal.sd - 11.0_f64.sqrt()).abs() < 1e-12, "{normal:?}");
    assert!((normal.factor - 4.2027).abs() < 5e-5, "{normal:?}");
}

#[test]
fn a_cup_is_never_rated_above_the_vacuum_that_was_there() {
    let with = |vacuum: f64| {
        let braced = series(Braced, [0.0, 0.0], &about(84.0));
        let braced = braced.into_iter().map(|pull| Pull { vacuum_pa: Some(vacuum), ..pull }).collect();
        let tests = made::tests([series(Rolling, [0.0, 0.0], &about(30.0)), braced]);
        unrounded(&rate(&tests, &COBBLE).expect("the tests make sense"), FigureName::CupVacuumPa)
    };
    assert!(with(60_000.0) > 43_000.0);
    assert_eq!(with(40_000.0), 40_000.0);
}

#[test]
fn the_foot_peels_within_its_disc() {
    let tests =
        made::tests([series(Rolling, [0.0, 0.0], &about(30.0)), series(Rolling, [0.0, 0.12], &about(15.0))]);
    let rating = rate(&tests, &COBBLE).expect("the tests make sense");
    assert_eq!(figure(&rating, FigureName::PeelRadiusM).value, Some(0.05));
    let free = rate(&tests, &RatingOptions { foot_radius_m: None, ..COBBLE }).expect("the tests make sense");
    assert!(unrounded(&free, FigureName::PeelRadiusM) > 0.1);
}

#[test]
fn what_was_not_tested_is_not_rated() {
    let tests = made::tests([series(Rolling, [0.0, 0.0], &about(30.0))]);
    let rating = rate(&tests, &COBBLE).expect("the tests make sense");
    assert!(!rating.is_complete());
    for (name, why) in [
        (FigureName::CupVacuumPa, "there are no axial braced pulls"),
        (FigureName::BondFriction, "there are no angled pulls"),
        (FigureName::PeelRadiusM, "there are no eccentric pulls"),
    ] {
        let found = figure(&rating, name);
        assert_eq!((found.value, found.lacks_tests, found.why.as_str()), (None, true, why));
    }
    // A kind without a cup needs no braced pulls.
    let bare =
        rate(&tests, &RatingOptions { cup_area_m2: Some(0.0), ..COBBLE }).expect("the tests make sense");
    assert!(!figure(&bare, FigureName::CupVacuumPa).lacks_tests);
}

#[test]
fn order_statistics_rate_from_59_modules_on() {
    let forces = |n: usize| -> Vec<f64> { (0..n).map(|i| 30.0 + i as f64 / 10.0).collect() };
    let order = RatingOptions { method: LimitMethod::Order, ..COBBLE };
    let limit = |n: usize| {
        rate(&made::tests([series(Rolling, [0.0, 0.0], &forces(n))]), &order).expect("it makes sense").series
            [0]
        .limit_n
    };
    assert_eq!([limit(58), limit(59), limit(93)], [None, Some(30.0), Some(30.1)]);
}

#[test]
fn all_limits_together_ask_for_more_of_each() {
    let tests = made::tests([
        series(Rolling, [0.0, 0.0], &about(30.0)),
        series(Rolling, [90.0, 0.0], &about(15.0)),
        series(Rolling, [0.0, 0.04], &about(15.0)),
        series(Rolling, [0.0, 0.12], &about(7.0)),
    ]);
    let rating = rate(&tests, &RatingOptions { joint: true, ..COBBLE }).expect("the tests make sense");
    assert!((rating.confidence_each - 0.9875).abs() < 1e-12);
    // Four figures jointly 95 %: 3.6191 for ten modules.
    assert!((rating.series[0].normal.expect("a limit").factor - 3.6191).abs() < 5e-5);
}

#[test]
fn the_same_tests_give_the_same_rating() {
    let mut pulls: Vec<Pull> = series(Rolling, [0.0, 0.0], &about(30.0));
    pulls[4].ending = clamber_core::unstable::rating::Ending::Held;
    pulls[4].force_n = 31.0;
    let tests = PullTests { rig_limit_n: Some(31.0), pulls };
    let [a, b] = [0, 1].map(|_| rate(&tests, &COBBLE).expect("the tests make sense"));
    assert_eq!(a, b);
    assert_eq!(a.series[0].normal.expect("a limit").how, NormalHow::SomeHeld);
}

#[test]
fn rounding_never_raises() {
    for (value, digits, expected) in [
        (30.49, 3, 30.4),
        (0.6, 3, 0.6),
        (45_231.0, 3, 45_200.0),
        (0.041_29, 3, 0.0412),
        (999.99, 3, 999.0),
        (0.3, 1, 0.3),
    ] {
        assert_eq!(rounded_down(value, digits), expected);
    }
    for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(rounded_down(value, 3), 0.0);
    }
    let mut random = clamber_core::unstable::math::SplitMix64::new(5);
    for _ in 0..10_000 {
        let value = random.between(1e-3, 1e5);
        let rounded = rounded_down(value, 3);
        assert!(rounded <= value * (1.0 + 1e-15) && rounded > value * 0.99, "{value} {rounded}");
    }
}
