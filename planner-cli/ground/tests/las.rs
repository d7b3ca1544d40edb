//! LAS files, as the crate `las` writes them.
#![cfg(feature = "las")]

use clamber_ground::{FitOptions, Placing, SurveyFormat, fit_ground, read_survey};
use std::io::Cursor;

/// A floor and a step, with points every 5 mm.
fn file() -> Vec<u8> {
    let mut builder = las::Builder::from((1, 2));
    let fine = las::Transform { scale: 1e-4, offset: 0.0 };
    builder.transforms = las::Vector { x: fine, y: fine, z: fine };
    let header = builder.into_header().expect("a header");
    let mut writer = las::Writer::new(Cursor::new(Vec::new()), header).expect("a writer");
    for (i, j) in (0..160).flat_map(|i| (0..80).map(move |j| (i, j))) {
        let (x, y) = (0.005 * f64::from(i), 0.005 * f64::from(j));
        let z = if i < 80 { 0.0 } else { 0.12 };
        writer.write_point(las::Point { x, y, z, ..las::Point::default() }).expect("a point");
    }
    writer.close().expect("the end");
    writer.into_inner().expect("the bytes").into_inner()
}

#[test]
fn points_of_a_scanner_become_decks() {
    let bytes = file();
    let (survey, _) = read_survey(&bytes, SurveyFormat::Las, &Placing::default()).expect("it is whole");
    let options = FitOptions { tolerance_m: 0.003, foot_radius_m: 0.04, accuracy_m: None, cell_m: None };
    let ground = fit_ground(&survey, &options).expect("a floor and a step");
    let heights: Vec<f64> = ground.surfaces.iter().map(|surface| surface.plane.height).collect();
    assert_eq!((heights.len(), heights.contains(&0.0), heights.contains(&0.12)), (2, true, true));
    let cut = read_survey(&bytes[..bytes.len() / 2], SurveyFormat::Las, &Placing::default());
    assert!(cut.expect_err("it is cut off").found.contains("LAS"));
}
