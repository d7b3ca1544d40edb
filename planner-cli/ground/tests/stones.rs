//! Stones of known radius, and what is no stone.

mod made;

use clamber_ground::{FitOptions, Ground, Placing, SurveyFormat, Use, fit_ground, read_survey};
use glam::{DVec2, DVec3};
use made::{Boulder, Random, ascii_grid, lane};
use proptest::prelude::*;

fn ground_of(file: &str, tolerance_m: f64) -> Ground {
    let (survey, _) =
        read_survey(file.as_bytes(), SurveyFormat::EsriGrid, &Placing::default()).expect("a grid");
    let options = FitOptions { tolerance_m, foot_radius_m: 0.04, accuracy_m: None, cell_m: None };
    fit_ground(&survey, &options).expect("ground")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(1), ..ProptestConfig::default() })]

    /// A ball partly in a floor, with noise of 0.5 mm on cells of 1 cm: the fit of some hundred points is good to a fraction of that.
    #[test]
    fn balls_are_found(
        radius in 0.07..0.15_f64, sunk in -0.3..0.35_f64, x in -0.1..0.1_f64, y in -0.1..0.1_f64,
        slope in 0.0..0.2_f64, turn in 0.0..std::f64::consts::TAU, seed in 0..1000_u64,
    ) {
        let slope = DVec2::from_angle(turn) * slope;
        let at = DVec2::new(x, y);
        let boulder = Boulder { centre: at.extend(slope.dot(at) - sunk * radius), radius };
        let mut random = Random::new(seed);
        let file = ascii_grid(DVec2::splat(-0.4), 80, 80, 0.01, |p| slope.dot(p).max(boulder.top(p)) + 0.0005 * random.normal());
        let ground = ground_of(&file, 0.004);
        prop_assert_eq!(ground.stones.len(), 1);
        let stone = &ground.stones[0];
        // Only a cap is seen, and its rim may hold points of the floor that lie within the tolerance: the top is well known, centre and radius are
        // known to within the tolerance.
        let fitted = stone.ball.radius - stone.added_m;
        let bound = 0.004;
        prop_assert!((stone.ball.centre.z + fitted - boulder.centre.z - radius).abs() < 0.0015, "{:?}", stone.ball);
        prop_assert!(stone.ball.centre.distance(boulder.centre) < bound, "{:?} for {:?}", stone.ball, boulder.centre);
        prop_assert!((fitted - radius).abs() < bound);
        // Noise counts square to the surface, so less on steep sides; points of the floor at its rim count too, within the tolerance.
        prop_assert!((0.0004..0.004).contains(&stone.added_m), "{}", stone.added_m);
        let facets = ground.surfaces.iter().filter(|s| s.sort == Use::Facet).count();
        prop_assert_eq!(facets, 1);
        // Nothing of the surveyed surface sticks out of decks and stones by more than the tolerance.
        prop_assert!(ground.surfaces.iter().all(|s| s.breaches == 0 && s.worst_m <= 0.004 || s.sort == Use::Cover));
    }
}

#[test]
fn a_roof_a_pipe_and_a_box_are_no_balls() {
    let roof = |p: DVec2| 0.1 - 0.5 * p.x.abs();
    let pipe = |p: DVec2| if p.x.abs() < 0.08 { (0.0064 - p.x * p.x).sqrt() } else { 0.0 };
    let block = |p: DVec2| if p.abs().max_element() < 0.035 { 0.05 } else { 0.0 };
    for height in [&roof as &dyn Fn(DVec2) -> f64, &pipe, &block] {
        let ground = ground_of(&ascii_grid(DVec2::splat(-0.4), 80, 80, 0.01, height), 0.004);
        assert!(ground.stones.is_empty(), "{:?}", ground.stones);
        assert!(!ground.surfaces.is_empty());
    }
}

/// What sticks up from a floor and is neither plane nor a ball is covered: no point of it lies above the decks.
#[test]
fn covers_lie_over_everything() {
    let mut random = Random::new(3);
    let file = ascii_grid(DVec2::splat(-0.4), 40, 40, 0.02, |p| {
        if p.length() < 0.15 { random.between(0.0, 0.08) } else { 0.0 }
    });
    let ground = ground_of(&file, 0.003);
    assert!(ground.surfaces.iter().any(|s| s.sort == Use::Cover));
    for surface in ground.surfaces.iter().filter(|s| s.sort != Use::Facet) {
        assert!(surface.room_m < 0.04, "a foot would fit on {}", surface.name);
    }
    let (low, high) = (DVec2::splat(-0.4), DVec2::splat(0.4));
    assert!((ground.rectangle_m2 - (high - low).element_product()).abs() < 1e-9);
    let area: f64 = ground.surfaces.iter().map(|s| s.area_m2).sum();
    assert!((area - ground.rectangle_m2).abs() < 1e-6, "{area}");
}

/// The made-up lane: its ramp, its heights and its boulders, all against what the generator was told.
#[test]
fn the_lane_is_what_it_was_made_to_be() {
    let ground = ground_of(&lane::file(), 0.004);
    let facets: Vec<_> = ground.surfaces.iter().filter(|s| s.sort == Use::Facet).collect();
    let slopes: Vec<f64> = facets.iter().map(|f| f.plane.tilt_deg()).collect();
    assert_eq!(facets.len(), 4, "{slopes:?}");
    let ramp = facets.iter().find(|f| f.plane.tilt_deg() > 1.0).expect("a ramp");
    assert!((ramp.plane.tilt_deg() - lane::RAMP_DEG).abs() < 0.05);
    let top = (lane::RAMP[1] - lane::RAMP[0]) * lane::RAMP_DEG.to_radians().tan();
    for height in [0.0, lane::BENCH, top] {
        assert!(
            facets.iter().any(|f| (f.plane.height - height).abs() < 2e-4 && f.plane.slope == DVec2::ZERO)
        );
    }
    assert_eq!(ground.stones.len(), 3);
    for boulder in lane::boulders() {
        let near = |centre: DVec3| centre.distance(boulder.centre) < 0.002;
        let stone = ground.stones.iter().find(|s| near(s.ball.centre)).expect("the boulder is found");
        assert!((stone.ball.radius - stone.added_m - boulder.radius).abs() < 0.002);
    }
    // A module drives from the invert up the ramp to the higher floor: the creases are met to the rounding of outlines.
    let creases: Vec<_> = ground
        .meetings
        .iter()
        .filter(|m| (m.crease_deg - lane::RAMP_DEG).abs() < 0.1 && m.length_m > 0.5)
        .collect();
    assert_eq!(creases.len(), 2);
    assert!(creases.iter().all(|m| m.step_m[0] > -1e-4 && m.step_m[1] < 1e-4));
}
