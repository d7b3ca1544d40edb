//! The rocking stiffness from readings of a dial gauge.

use crate::made::{pull, tests};
use clamber_core::Hold;
use clamber_core::unstable::rating::{Pull, RatingOptions, rate};

/// Ten modules of known stiffness: the limit is the mean less 2.9110 standard deviations, the factor for 95 % with 95 % confidence from ten values
/// (ISO 16269-6).
#[test]
fn stiffness_is_moment_over_angle_and_its_limit_that_of_the_table() {
    let stiffness = [92.0, 88.0, 95.5, 90.0, 101.0, 97.0, 93.5, 89.0, 99.0, 94.0_f64];
    let (force_n, offset_m) = (30.0, 0.08);
    let read = stiffness.iter().enumerate().map(|(index, stiffness)| {
        let tilt_deg = Some((force_n * offset_m / stiffness).to_degrees());
        Pull { tilt_deg, ..pull(index, &format!("m{index}"), Hold::Braced, [0.0, offset_m], force_n) }
    });
    let axial = (0..10).map(|index| pull(index, &format!("m{index}"), Hold::Braced, [0.0, 0.0], 90.0));
    let rating =
        rate(&tests([read.collect(), axial.collect()]), &RatingOptions::default()).expect("it makes sense");
    let rocking = rating.rocking.expect("a gauge was read");
    let mean = stiffness.iter().sum::<f64>() / 10.0;
    let sd = (stiffness.iter().map(|k| (k - mean).powi(2)).sum::<f64>() / 9.0).sqrt();
    assert_eq!((rocking.modules, rocking.pulls), (10, 10));
    assert!((rocking.mean - mean).abs() < 1e-9);
    let limit = rocking.limit.expect("ten modules are enough");
    assert!((limit - (mean - 2.9110 * sd)).abs() < 5e-4 * sd, "{limit}");
}

#[test]
fn a_tilt_needs_an_offset() {
    let read = Pull { tilt_deg: Some(1.0), ..pull(0, "m1", Hold::Braced, [0.0, 0.0], 90.0) };
    let refused = rate(&tests([vec![read]]), &RatingOptions::default())
        .expect_err("a pull through the centre tilts nothing");
    assert!(refused.to_string().contains("tilt_deg"), "{refused}");
}
