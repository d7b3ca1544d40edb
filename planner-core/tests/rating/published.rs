//! Statistics against published tables and worked examples.

use clamber_core::unstable::rating::statistics::{
    Summary, fit_censored, grubbs_critical, grubbs_lowest, ln_survival, normal_hazard, normal_quantile,
    order_confidence, order_rank, order_size, plotting_positions, slope_within_groups,
    slope_within_groups_and_subjects, tolerance_factor, type_ii_factor, welch,
};

fn factor(n: usize, share: f64, confidence: f64) -> f64 {
    tolerance_factor(n, share, confidence).expect("a factor")
}

#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected} within {within}");
}

/// ISO 16269-6, one-sided, standard deviation unknown; Natrella's Table A-7 has the same numbers to three places (both from memory, recomputed with SciPy's
/// noncentral t, which is where the digits beyond the fourth come from).
#[test]
fn factors_of_normal_limits() {
    let table = [
        (0.95, 0.95, [4.202_680_741, 2.910_963_413, 2.396_001_684, 2.064_993_418]),
        (0.90, 0.95, [3.406_633_263, 2.354_640_132, 1.925_990_972, 1.645_564_856]),
        (0.99, 0.95, [5.741_084_517, 3.981_117_845, 3.295_156_936, 2.862_449_264]),
        (0.95, 0.90, [3.399_833_958, 2.568_373_206, 2.207_779_393, 1.965_294_3]),
        // Four figures jointly 95 %.
        (0.95, 0.9875, [6.195_865_377, 3.619_072_365, 2.751_748_581, 2.242_180_181]),
    ];
    for (share, confidence, factors) in table {
        for (n, expected) in [5, 10, 20, 50].into_iter().zip(factors) {
            near(factor(n, share, confidence), expected, 1e-8);
        }
    }
    near(factor(2, 0.95, 0.95), 26.259_673_983, 1e-7);
    near(factor(2, 0.95, 0.9875), 105.138_633_861, 1e-6);
    near(factor(2000, 0.95, 0.95), 1.702_563_605, 1e-8);
}

/// MIL-HDBK-17 (now CMH-17), B-basis: share 90 %, confidence 95 %.
#[test]
fn factors_of_the_composites_handbook() {
    let printed = [20.581, 6.155, 4.162, 3.407, 3.006, 2.755, 2.582, 2.454, 2.355];
    for (n, expected) in (2..).zip(printed) {
        near(factor(n, 0.90, 0.95), expected, 7e-4);
    }
    near(factor(20, 0.90, 0.95), 1.926, 7e-4);
    near(factor(30, 0.90, 0.95), 1.778, 7e-4);
}

/// EN 689:2018, share 95 % at confidence 70 %: printed to three places for n = 6 to 10 and 30.
#[test]
fn factors_of_workplace_limits() {
    for (n, expected) in [(6, 2.187), (7, 2.120), (8, 2.072), (9, 2.035), (10, 2.005), (30, 1.820)] {
        near(factor(n, 0.95, 0.70), expected, 6e-4);
    }
}

/// NIST/SEMATECH e-Handbook 7.2.6.3: n = 43, 99 % confidence, share 90 %, exact factor 1.87395.
#[test]
fn worked_example_of_the_handbook() {
    near(factor(43, 0.90, 0.99), 1.87395, 1e-5);
    near(97.07 - factor(43, 0.90, 0.99) * 0.0268, 97.01978, 1e-5);
    // The handbook's closed form is too low, on the unsafe side: 2.8748 for n = 10.
    assert!(factor(10, 0.95, 0.95) > 2.8748);
}

/// ISO 16269-6: with a standard deviation that is known the factor is `z + z/√n`: 2.3805, 2.1650, 2.0127. Not to know it always costs more, and less
/// with more values.
#[test]
fn not_to_know_the_scatter_costs_something() {
    let mut cost = f64::INFINITY;
    for (n, known) in [(5, 2.3805), (10, 2.1650), (20, 2.0127)] {
        let z = normal_quantile(0.95);
        near(z + z / f64::from(n).sqrt(), known, 1e-4);
        let more = factor(usize::try_from(n).expect("small"), 0.95, 0.95) - known;
        assert!(more > 0.0 && more < cost);
        cost = more;
    }
}

#[test]
fn what_has_no_factor() {
    for (n, share, confidence) in
        [(1, 0.95, 0.95), (0, 0.95, 0.95), (5, 1.0, 0.95), (5, 0.95, 0.0), (5, f64::NAN, 0.95)]
    {
        assert_eq!(tolerance_factor(n, share, confidence), None);
    }
    // Below the median the share is a smaller z, and the factor may be negative.
    assert!(factor(50, 0.3, 0.5) < 0.0);
}

/// Wilks, Ann. Math. Stat. 12 (1941) 91; sizes 59, 93, 124, 153 and so on for the first ranks.
#[test]
fn sizes_for_order_statistics() {
    for (share, confidence, sizes) in
        [(0.95, 0.95, &[59, 93, 124, 153][..]), (0.90, 0.95, &[29, 46, 61]), (0.99, 0.95, &[299, 473, 628])]
    {
        for (rank, size) in (1..).zip(sizes) {
            assert_eq!(order_size(rank, share, confidence), Some(*size));
            assert_eq!(order_rank(*size, share, confidence), Some(rank));
            assert_eq!(order_rank(size - 1, share, confidence), (rank > 1).then(|| rank - 1));
        }
    }
    for (n, expected) in [(5, 0.2262), (10, 0.4013), (20, 0.6415)] {
        near(order_confidence(n, 1, 0.95), expected, 5e-5);
    }
    near(order_confidence(93, 2, 0.95), 0.950_024_204_757, 1e-10);
    near(order_confidence(59, 3, 0.95), 0.571_071_969_193, 1e-10);
    assert_eq!(order_confidence(3, 4, 0.95), 0.0);
}

/// Clopper & Pearson 1934, no failures among n: the upper bound of the share that fails is where the lowest of n is a limit with 95 % confidence.
#[test]
fn no_failures_among_n() {
    for (n, bound) in [(10, 0.25887), (59, 0.04951), (299, 0.00997)] {
        near(order_confidence(n, 1, 1.0 - bound), 0.95, 1e-4);
    }
}

/// Grubbs 1969, also ASTM E178 (from memory), 5 %, one-sided.
#[test]
fn critical_values_of_grubbs() {
    for (n, expected) in [(3, 1.153), (5, 1.672), (10, 2.176), (20, 2.557)] {
        near(grubbs_critical(n, 0.05).expect("a value"), expected, 1e-3);
    }
    assert_eq!(grubbs_critical(2, 0.05), None);
    near(grubbs_lowest(&[1.0, 2.0, 3.0]).expect("a distance"), 1.0, 1e-12);
    assert_eq!(grubbs_lowest(&[2.0, 2.0]), None);
}

/// Welch 1947; the numbers are SciPy's.
#[test]
fn difference_of_two_holds() {
    let found = welch(&[29.1, 31.4, 30.2, 28.7, 30.9], &[82.0, 86.5, 84.1, 79.9, 88.3]).expect("a test");
    near(found.t, 33.970_779_782_5, 1e-8);
    near(found.freedom, 4.919_380_047_6, 1e-8);
    near(found.low, 49.985_970_839_4, 1e-6);
    near(found.high, 58.214_029_160_7, 1e-6);
    near(found.p / 5.011_492_334_8e-7, 1.0, 1e-5);
    assert_eq!(welch(&[1.0], &[1.0, 2.0]), None);
    assert_eq!(welch(&[1.0, 1.0], &[2.0, 2.0]), None);
}

const CAME_OFF: [f64; 8] = [98.2, 101.5, 103.0, 104.4, 106.1, 107.9, 109.3, 110.8];

/// The most likely normal distribution of censored samples: minimised by Nelder & Mead in SciPy.
#[test]
fn censored_fits() {
    for (exceeded, mean, sd) in [
        (vec![112.0; 2], 107.104_86, 5.379_90),
        (vec![112.0, 112.0, 90.0, 105.0, 140.0], 112.591_72, 13.050_31),
        (vec![112.0; 40], 123.223_32, 11.804_86),
    ] {
        let fit = fit_censored(&CAME_OFF, &exceeded).expect("a fit");
        near(fit.mean, mean, 2e-5);
        near(fit.sd, sd, 2e-5);
    }
    // Without censoring it is the sample's own, with n.
    let (fit, own) = (fit_censored(&CAME_OFF, &[]).expect("a fit"), Summary::of(&CAME_OFF).expect("values"));
    near(fit.mean, own.mean, 1e-10);
    near(fit.sd, own.sd.expect("values") * (7.0_f64 / 8.0).sqrt(), 1e-10);
    for known in [&[][..], &[100.0], &[100.0, 100.0], &[f64::NAN, 1.0]] {
        assert_eq!(fit_censored(known, &[112.0]), None);
    }
}

/// Where nothing is censored the factor is the exact one, times `√(n/(n − 1))` for the divisor of the standard deviation; 20,000 draws and three
/// standard errors on the safe side make it up to 4 % larger.
#[test]
fn simulated_factors_are_exact_where_the_exact_ones_are_known() {
    for n in [5, 10, 20] {
        let exact = factor(n, 0.95, 0.95) * (n as f64 / (n - 1) as f64).sqrt();
        let found = type_ii_factor(n, n, 0.95, 0.95).expect("a factor");
        assert!((0.995..1.05).contains(&(found / exact)), "{n}: {found} {exact}");
        assert_eq!(type_ii_factor(n, n, 0.95, 0.95), Some(found), "the seed is fixed");
    }
    // The fewer are known, the larger it is.
    let factors: Vec<f64> =
        (3..=10).map(|known| type_ii_factor(10, known, 0.95, 0.95).expect("a factor")).collect();
    assert!(factors.windows(2).all(|pair| pair[0] > pair[1]), "{factors:?}");
    assert_eq!(type_ii_factor(10, 1, 0.95, 0.95), None);
    assert_eq!(type_ii_factor(10, 11, 0.95, 0.95), None);
}

/// Tails of the normal distribution, from SciPy.
#[test]
fn tails() {
    for (z, logarithm, hazard) in [
        (0.0, -std::f64::consts::LN_2, 0.797_884_560_802_865),
        (3.0, -6.607_726_221_510_35, 3.283_098_654_930_45),
        (24.0, -292.098_721_003_208, 24.041_523_230_737_9),
        (26.0, -342.178_508_929_928, 26.038_348_579_498_9),
        (40.0, -804.608_442_013_754, 40.024_968_847_210_9),
    ] {
        near(ln_survival(z) / logarithm, 1.0, 1e-12);
        near(normal_hazard(z) / hazard, 1.0, 1e-9);
    }
    near(normal_quantile(0.95), 1.644_853_626_951_472_7, 1e-12);
    assert!(normal_quantile(1.5).is_nan());
}

/// Two lines with one slope, worked by hand: within both groups y grows by 2 for each x; a deviation of ±1 in the second.
#[test]
fn a_slope_that_groups_share() {
    let exact = vec![(0.0, 5.0), (1.0, 7.0), (2.0, 9.0)];
    let noisy = vec![(10.0, 1.0), (11.0, 1.0), (12.0, 5.0), (13.0, 5.0)];
    let slope = slope_within_groups(&[exact, noisy]).expect("a slope");
    // Sums of squares within: xx = 2 + 5, xy = 4 + 8, yy = 8 + 16.
    near(slope.value, 12.0 / 7.0, 1e-12);
    // t(0.975; 7 − 3) = 2.776445, residual (24 − 144/7)/4.
    near(slope.high - slope.value, 2.776_445 * ((24.0 - 144.0 / 7.0) / 4.0 / 7.0_f64).sqrt(), 1e-5);
    assert_eq!(slope_within_groups(&[vec![(1.0, 1.0), (1.0, 2.0), (1.0, 3.0)]]), None);
    assert_eq!(slope_within_groups(&[]), None);
}

/// Herd & Johnson: `i/(n + 1)` without censoring; Nelson, Applied Life Data Analysis (1982), from memory: what is exceeded shifts all above it.
#[test]
fn positions_on_a_probability_plot() {
    let all = plotting_positions(&[false; 4]);
    for (found, expected) in all.iter().zip([0.2, 0.4, 0.6, 0.8]) {
        near(*found, expected, 1e-12);
    }
    let some = plotting_positions(&[false, true, false]);
    near(some[0], 0.25, 1e-12);
    near(some[2], 1.0 - 0.75 * 0.5, 1e-12);
}

/// Skewness of 1, 2, 6: mean 3, m₂ = 14/3, m₃ = 6.
#[test]
fn skewness_by_hand() {
    let summary = Summary::of(&[1.0, 2.0, 6.0]).expect("values");
    near(summary.skewness.expect("three values"), 6.0 / (14.0_f64 / 3.0).powf(1.5), 1e-12);
    near(summary.sd.expect("three values"), 7.0_f64.sqrt(), 1e-12);
    assert_eq!(Summary::of(&[]), None);
}

/// Three series in which the same modules come again, one of them incomplete: ordinary least squares with a column for each series and module
/// (numpy 2.4 `lstsq` and scipy 1.17 `t.ppf`, worked out beside this test).
#[test]
fn a_slope_beside_what_modules_always_are() {
    let rows = [
        (0.0, 1.02, [0, 0]),
        (0.1, 0.95, [0, 1]),
        (0.2, 1.04, [0, 2]),
        (0.3, 0.98, [0, 3]),
        (0.4, 1.00, [1, 2]),
        (0.5, 0.96, [1, 0]),
        (0.6, 0.90, [1, 1]),
        (0.7, 0.93, [1, 3]),
        (0.8, 0.91, [2, 3]),
        (0.9, 0.97, [2, 0]),
        (1.0, 0.96, [2, 2]),
    ];
    let points = rows.map(|(x, y, _)| (x, y));
    let slope = slope_within_groups_and_subjects(&points, &rows.map(|(_, _, of)| of)).expect("a slope");
    near(slope.value, -0.014_285_714_285_716, 1e-9);
    near(slope.low, -0.127_922_395_980_52, 1e-9);
    near(slope.high, 0.099_350_967_409_085, 1e-9);
}

/// Where every series pulls the modules in the same order, nobody can tell a weak module that comes last from a drift.
#[test]
fn a_fixed_order_tells_no_drift() {
    let rows: Vec<(f64, [usize; 2])> = (0..20).map(|index| (index as f64, [index / 5, index % 5])).collect();
    let points: Vec<(f64, f64)> = rows.iter().map(|(x, of)| (*x, 1.0 - 0.02 * of[1] as f64)).collect();
    let of: Vec<[usize; 2]> = rows.iter().map(|(_, of)| *of).collect();
    assert_eq!(slope_within_groups_and_subjects(&points, &of), None);
}
