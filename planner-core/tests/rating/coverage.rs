//! How often limits lie below the truth that they state: 10,000 made-up series each, so that one standard error of a confidence of 95 % is 0.22 %.

use super::made;
use clamber_core::Hold;
use clamber_core::unstable::math::SplitMix64;
use clamber_core::unstable::rating::statistics::{
    Summary, fit_censored, normal_quantile, order_rank, tolerance_factor, type_ii_factor,
};
use clamber_core::unstable::rating::{FigureName, PullTests, RatingOptions, rate};

const SERIES: usize = 10_000;
const SHARE: f64 = 0.95;
const CONFIDENCE: f64 = 0.95;

/// The share of series whose limit is at or below a truth.
fn covered(seed: u64, truth: f64, mut limit: impl FnMut(&mut SplitMix64) -> f64) -> f64 {
    let mut random = SplitMix64::new(seed);
    (0..SERIES).filter(|_| limit(&mut random) <= truth).count() as f64 / SERIES as f64
}

/// Within four binomial standard errors.
#[track_caller]
fn is(found: f64, expected: f64) {
    let error = (expected * (1.0 - expected) / SERIES as f64).sqrt();
    assert!(
        (found - expected).abs() <= 4.0 * error,
        "covered {found}, not {expected} within {}",
        4.0 * error
    );
}

/// At least that, but for four binomial standard errors.
#[track_caller]
fn at_least(found: f64, expected: f64) {
    let error = (expected * (1.0 - expected) / SERIES as f64).sqrt();
    assert!(found >= expected - 4.0 * error, "covered {found}, less than {expected}");
}

fn draw(n: usize, random: &mut SplitMix64, of: impl Fn(&mut SplitMix64) -> f64) -> Vec<f64> {
    (0..n).map(|_| of(random)).collect()
}

fn normal_limit(values: &[f64], factor: f64) -> f64 {
    let summary = Summary::of(values).expect("values");
    summary.mean - factor * summary.sd.expect("two values")
}

/// The limit of the first series, as `rate` reports it.
fn rated_limit(tests: &PullTests, options: &RatingOptions) -> f64 {
    let rating = rate(tests, options).expect("the tests make sense");
    rating.series[0].normal.expect("a limit").limit_n
}

#[test]
fn normal_limits_cover_as_often_as_they_say() {
    let truth = 84.0 - 8.4 * normal_quantile(SHARE);
    for n in [5, 10, 20] {
        let found = covered(n as u64, truth, |random| {
            let forces = draw(n, random, |random| 84.0 + 8.4 * random.normal());
            rated_limit(
                &made::tests([made::series(Hold::Rolling, [0.0, 0.0], &forces)]),
                &RatingOptions::default(),
            )
        });
        is(found, CONFIDENCE);
    }
}

/// Two settings of share and confidence that are not equal, so that they cannot be mixed up.
#[test]
fn share_and_confidence_are_what_they_are_called() {
    let options = RatingOptions { share: 0.90, confidence: 0.99, ..RatingOptions::default() };
    let found = covered(21, -normal_quantile(0.90), |random| {
        let forces = draw(8, random, |random| 100.0 + random.normal());
        rated_limit(&made::tests([made::series(Hold::Rolling, [0.0, 0.0], &forces)]), &options) - 100.0
    });
    is(found, 0.99);
}

#[test]
fn order_statistics_cover_whatever_the_distribution() {
    let n = 93;
    let rank = order_rank(n, SHARE, CONFIDENCE).expect("a rank");
    let weibull = |random: &mut SplitMix64| (-(1.0 - random.between(0.0, 1.0)).ln()).powf(0.25);
    let truth = (-SHARE.ln()).powf(0.25);
    let found = covered(31, truth, |random| {
        let mut values = draw(n, random, weibull);
        values.sort_by(f64::total_cmp);
        values[rank - 1]
    });
    // 0.950024 by the binomial distribution.
    is(found, 0.950_024);
}

/// Some modules much stronger than others: six pulls of each of five modules, spread between and within modules 1/1, 1/0.5, 0.3/1.
#[test]
fn several_pulls_of_a_module_are_not_taken_for_several_modules() {
    for (seed, between, within, pooled) in
        [(41, 1.0, 1.0, 0.795), (42, 1.0, 0.5, 0.675), (43, 0.3, 1.0, 0.932)]
    {
        let truth = 50.0 - f64::hypot(between, within) * normal_quantile(SHARE);
        let pulls = |random: &mut SplitMix64| -> PullTests {
            let module = |random: &mut SplitMix64, m: usize| {
                let own = 50.0 + between * random.normal();
                (0..6)
                    .map(|p| {
                        let force = own + within * random.normal();
                        made::pull(6 * m + p, &format!("m{m}"), Hold::Rolling, [0.0, 0.0], force)
                    })
                    .collect()
            };
            let modules: Vec<Vec<_>> = (0..5).map(|m| module(random, m)).collect();
            made::tests(modules)
        };
        let found = covered(seed, truth, |random| rated_limit(&pulls(random), &RatingOptions::default()));
        at_least(found, 0.98);
        // What it would be to take 30 pulls for 30 modules.
        let factor = tolerance_factor(30, SHARE, CONFIDENCE).expect("a factor");
        let wrong = covered(seed, truth, |random| {
            let forces: Vec<f64> = pulls(random).pulls.iter().map(|pull| pull.force_n).collect();
            normal_limit(&forces, factor)
        });
        assert!((wrong - pooled).abs() < 0.02, "{wrong} {pooled}");
    }
}

/// The limit of a censored series, as `rate` finds it; minus infinity where it finds none.
fn censored_limit(forces: &[f64], rig: f64, factors: &[Option<f64>]) -> f64 {
    let known: Vec<f64> = forces.iter().copied().filter(|force| *force < rig).collect();
    let exceeded = vec![rig; forces.len() - known.len()];
    let fit = fit_censored(&known, &exceeded).zip(factors[known.len()]);
    fit.map_or(f64::NEG_INFINITY, |(fit, factor)| fit.mean - factor * fit.sd)
}

#[test]
fn limits_with_pulls_that_held_are_on_the_safe_side() {
    let truth = -normal_quantile(SHARE);
    let mut told = Vec::new();
    for n in [5, 10, 20] {
        let mut factors: Vec<Option<f64>> =
            (0..n).map(|known| type_ii_factor(n, known, SHARE, CONFIDENCE)).collect();
        // Where none held, the exact factor is used, with `n − 1` in the standard deviation.
        let root = (n as f64 / (n - 1) as f64).sqrt();
        factors.push(tolerance_factor(n, SHARE, CONFIDENCE).map(|factor| factor * root));
        for (seed, held) in [(51, 0.1), (52, 0.2), (53, 0.4), (54, 0.6)] {
            let rig = normal_quantile(1.0 - held);
            let mut rateable = 0;
            let found = covered(seed, truth, |random| {
                let limit = censored_limit(&draw(n, random, SplitMix64::normal), rig, &factors);
                rateable += usize::from(limit.is_finite());
                limit
            });
            told.push((n, held, found));
            at_least(found, CONFIDENCE);
            // Among those that have a limit at all, too.
            at_least((found * SERIES as f64 - (SERIES - rateable) as f64) / rateable as f64, CONFIDENCE);
        }
    }
    println!("covered, by modules and share held: {told:?}");
}

/// With a fixed number that hold (type II censoring) the confidence is exact but for the simulation's safe side.
#[test]
fn limits_are_exact_where_the_number_that_holds_is_fixed() {
    let (n, known) = (10, 7);
    let factor = type_ii_factor(n, known, SHARE, CONFIDENCE).expect("a factor");
    let found = covered(61, -normal_quantile(SHARE), |random| {
        let mut values = draw(n, random, SplitMix64::normal);
        values.sort_by(f64::total_cmp);
        let fit = fit_censored(&values[..known], &vec![values[known - 1]; n - known]).expect("a fit");
        fit.mean - factor * fit.sd
    });
    assert!((0.945..=0.965).contains(&found), "{found}");
}

/// Why a pull that held is never replaced by the rig's limit: with a fifth of the pulls censored the confidence falls to 0.878 (H11 of the basis).
#[test]
fn replacing_a_pull_that_held_by_the_limit_would_be_unsafe() {
    let rig = normal_quantile(0.8);
    let factor = tolerance_factor(10, SHARE, CONFIDENCE).expect("a factor");
    let found = covered(71, -normal_quantile(SHARE), |random| {
        normal_limit(&draw(10, random, |random| random.normal().min(rig)), factor)
    });
    is(found, 0.878);
}

/// What the page says of other distributions, ten modules: Weibull of shape 4, 6 and 10 under a normal limit, and under a log-normal one.
#[test]
fn the_confidence_that_is_told_for_other_distributions() {
    let factor = tolerance_factor(10, SHARE, CONFIDENCE).expect("a factor");
    for (shape, told) in [(4.0, 0.941), (6.0, 0.906), (10.0, 0.867)] {
        let weibull = |random: &mut SplitMix64| (-(1.0 - random.between(0.0, 1.0)).ln()).powf(1.0 / shape);
        let truth = (-SHARE.ln()).powf(1.0 / shape);
        is(covered(81, truth, |random| normal_limit(&draw(10, random, weibull), factor)), told);
        let logarithms =
            |random: &mut SplitMix64| normal_limit(&draw(10, random, |r| weibull(r).ln()), factor).exp();
        let found = covered(82, truth, logarithms);
        assert!((found - 0.80).abs() < 0.02, "log-normal, shape {shape}: {found}");
    }
}

/// The whole way: modules with holds of their own, pulled once along each ray. The rated capacity lies below the force that 95 % of the modules
/// reach along every ray that was pulled, with the joint confidence or more.
#[test]
fn rated_capacity_covers_along_every_ray() {
    let rays = [[0.0, 0.0], [60.0, 0.0], [90.0, 0.0], [0.0, 0.04], [0.0, 0.12]];
    let (friction, radius) = (0.62, 0.042);
    // Along a ray a module with adhesion A comes off at A times this.
    let capacity = |adhesion: f64, friction: f64, radius: f64, [angle, offset]: [f64; 2]| {
        let (sine, cosine) = angle.to_radians().sin_cos();
        let slip = adhesion / (cosine + sine / (0.93 * friction));
        if angle > 0.0 { slip } else { adhesion * radius / (radius + offset) }
    };
    let options = RatingOptions { joint: true, foot_radius_m: Some(0.045), ..RatingOptions::default() };
    let mut random = SplitMix64::new(91);
    let weakest = 34.0 - 2.0 * normal_quantile(SHARE);
    let rounds = 1_000;
    let mut covering = 0;
    for _ in 0..rounds {
        let forces: Vec<f64> = draw(10, &mut random, |random| 34.0 + 2.0 * random.normal());
        let series = |ray: [f64; 2]| {
            let forces: Vec<f64> = forces.iter().map(|a| capacity(*a, friction, radius, ray)).collect();
            made::series(Hold::Rolling, ray, &forces)
        };
        let rating = rate(&made::tests(rays.map(series)), &options).expect("the tests make sense");
        let value =
            |name| rating.figures.iter().find(|f| f.name == name).and_then(|f| f.value).expect("rated");
        let [a, mu, b] =
            [FigureName::MagnetForceN, FigureName::BondFriction, FigureName::PeelRadiusM].map(value);
        for series in &rating.series {
            let rated = capacity(a, mu, b, [series.angle_deg, series.offset_m]);
            let limit = series.limit_n.expect("a limit");
            assert!(rated <= limit * (1.0 + 1e-9), "{}: {rated} above {limit}", series.name());
        }
        covering += usize::from(
            rays.into_iter().all(|ray| capacity(a, mu, b, ray) <= capacity(weakest, friction, radius, ray)),
        );
    }
    // One-sided, four standard errors of 1000 rounds.
    assert!(
        f64::from(u32::try_from(covering).expect("few")) / f64::from(rounds) >= 0.95 - 0.028,
        "{covering}"
    );
}
