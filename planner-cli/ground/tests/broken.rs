//! Broken surveys: each is refused with a clear error, or mended and said so.

mod made;

use clamber_ground::{
    FitOptions, Ground, Placing, Survey, SurveyError, SurveyFormat, Unit, fit_ground, read_survey,
};
use glam::{DVec2, DVec3};
use made::{Random, ascii_grid, binary_stl};
use std::fmt::Write;

const OPTIONS: FitOptions =
    FitOptions { tolerance_m: 0.003, foot_radius_m: 0.04, accuracy_m: None, cell_m: None };

fn in_metres() -> Placing {
    Placing { unit: Some(Unit::Metre), ..Placing::default() }
}

fn fit(
    bytes: &[u8],
    format: SurveyFormat,
    options: &FitOptions,
) -> Result<(Ground, Vec<String>), SurveyError> {
    let (survey, mut notes) = read_survey(bytes, format, &in_metres())?;
    let ground = fit_ground(&survey, options)?;
    notes.extend(ground.notes.clone());
    Ok((ground, notes))
}

#[track_caller]
fn refused(bytes: &[u8], format: SurveyFormat, words: &str) -> SurveyError {
    let error = fit(bytes, format, &OPTIONS).expect_err("it should be refused");
    let text = error.to_string();
    assert!(text.contains(words), "{text:?} should say {words:?}");
    assert!(!error.to_do.is_empty() && !error.allowed.is_empty() && !error.field.is_empty());
    error
}

#[track_caller]
fn noted(notes: &[String], words: &str) {
    assert!(notes.iter().any(|note| note.contains(words)), "{notes:?} should say {words:?}");
}

/// A floor of 1 m by 1 m in squares of 0.1 m, and a block of 0.3 m by 0.3 m by 0.1 m on it; upright walls.
fn block() -> Vec<[DVec3; 3]> {
    let mut triangles = Vec::new();
    let on_block = |i: usize, j: usize| (3..6).contains(&i) && (4..7).contains(&j);
    let corner = |i: usize, j: usize, z: f64| DVec3::new(0.1 * i as f64, 0.1 * j as f64, z);
    let mut quad = |a: DVec3, b: DVec3, c: DVec3, d: DVec3| triangles.extend([[a, b, c], [a, c, d]]);
    for (i, j) in (0..10).flat_map(|i| (0..10).map(move |j| (i, j))) {
        let z = if on_block(i, j) { 0.1 } else { 0.0 };
        quad(corner(i, j, z), corner(i + 1, j, z), corner(i + 1, j + 1, z), corner(i, j + 1, z));
    }
    for k in 3..6 {
        quad(corner(k, 4, 0.0), corner(k + 1, 4, 0.0), corner(k + 1, 4, 0.1), corner(k, 4, 0.1));
        quad(corner(k + 1, 7, 0.0), corner(k, 7, 0.0), corner(k, 7, 0.1), corner(k + 1, 7, 0.1));
        quad(corner(3, k + 2, 0.0), corner(3, k + 1, 0.0), corner(3, k + 1, 0.1), corner(3, k + 2, 0.1));
        quad(corner(6, k + 1, 0.0), corner(6, k + 2, 0.0), corner(6, k + 2, 0.1), corner(6, k + 1, 0.1));
    }
    triangles
}

/// Floor and block as they should be found.
#[track_caller]
fn is_block(ground: &Ground) {
    let found: Vec<(f64, f64)> =
        ground.surfaces.iter().map(|s| (s.plane.height, (s.area_m2 * 1e4).round() / 1e4)).collect();
    assert_eq!(found, [(0.0, 0.91), (0.1, 0.09)]);
    assert_eq!(ground.surfaces[0].outlines.len(), 2, "around a hole there are two decks");
}

#[test]
fn a_whole_mesh_is_read() {
    let (ground, notes) = fit(&binary_stl(&block()), SurveyFormat::Stl, &OPTIONS).expect("it is sound");
    is_block(&ground);
    noted(&notes, "24 triangles were taken as the side of a step");
}

#[test]
fn a_mesh_without_a_unit_is_refused() {
    let bytes = binary_stl(&block());
    let error = read_survey(&bytes, SurveyFormat::Stl, &Placing::default()).expect_err("it has no unit");
    assert_eq!(error.field, "--unit");
}

#[test]
fn holes_stay_holes() {
    let mut triangles = block();
    triangles.retain(|t| {
        let middle = (t[0] + t[1] + t[2]) / 3.0;
        middle.z > 0.0 || middle.x < 0.7 || middle.y < 0.7
    });
    let (ground, _) = fit(&binary_stl(&triangles), SurveyFormat::Stl, &OPTIONS).expect("a hole is no error");
    assert!((ground.surfaces[0].area_m2 - 0.82).abs() < 1e-3, "{}", ground.surfaces[0].area_m2);
    assert!((ground.rectangle_m2 - ground.surveyed_m2 - 0.09).abs() < 1e-3);
}

#[test]
fn flipped_winding_is_turned() {
    let mut triangles = block();
    for triangle in triangles.iter_mut().step_by(3) {
        triangle.swap(1, 2);
    }
    let (ground, notes) =
        fit(&binary_stl(&triangles), SurveyFormat::Stl, &OPTIONS).expect("it can be mended");
    is_block(&ground);
    noted(&notes, "turned: the winding did not fit");
    // All of them the wrong way round.
    let mut triangles = block();
    triangles.iter_mut().for_each(|triangle| triangle.swap(0, 1));
    let (ground, _) = fit(&binary_stl(&triangles), SurveyFormat::Stl, &OPTIONS).expect("it can be mended");
    is_block(&ground);
}

#[test]
fn slivers_doubles_and_points_are_left_out() {
    let mut triangles = block();
    let p = |x: f64, y: f64, z: f64| DVec3::new(x, y, z);
    triangles.push([p(0.1, 0.1, 0.0), p(0.2, 0.1, 0.0), p(0.15, 0.100001, 0.0)]);
    triangles.push([p(0.1, 0.1, 0.0), p(0.1, 0.1, 0.0), p(0.2, 0.1, 0.0)]);
    triangles.push(triangles[0]);
    let (ground, notes) =
        fit(&binary_stl(&triangles), SurveyFormat::Stl, &OPTIONS).expect("it can be mended");
    is_block(&ground);
    noted(&notes, "2 triangles were left out as slivers");
    noted(&notes, "1 triangle was left out because another has the same corners");
}

#[test]
fn surfaces_above_each_other_are_refused_or_seen_from_above() {
    let mut triangles = block();
    let roof =
        block().into_iter().map(|t| t.map(|p| p * DVec3::new(1.0, 1.0, 0.0) + DVec3::new(0.003, 0.002, 0.5)));
    triangles.extend(roof);
    let bytes = binary_stl(&triangles);
    let error = refused(&bytes, SurveyFormat::Stl, "two surfaces lie above each other");
    assert!(error.to_do.contains("--ceiling"));
    let (ground, notes) =
        fit(&bytes, SurveyFormat::Stl, &FitOptions { cell_m: Some(0.01), ..OPTIONS }).expect("from above");
    assert_eq!(ground.surfaces[0].plane.height, 0.5);
    noted(&notes, "looked at from above");
    let placing = Placing { ceiling_m: Some(0.4), ..in_metres() };
    let (survey, _) = read_survey(&bytes, SurveyFormat::Stl, &placing).expect("it is whole");
    is_block(&fit_ground(&survey, &OPTIONS).expect("without the roof it is sound"));
}

#[test]
fn a_closed_body_is_seen_from_outside() {
    let mut triangles = block();
    let p = |i: usize, j: usize, z: f64| DVec3::new(0.1 * i as f64, 0.1 * j as f64, z);
    let mut quad = |a: DVec3, b: DVec3, c: DVec3, d: DVec3| triangles.extend([[a, b, c], [a, c, d]]);
    for k in 0..10 {
        quad(p(k, 0, -0.2), p(k + 1, 0, -0.2), p(k + 1, 0, 0.0), p(k, 0, 0.0));
        quad(p(k + 1, 10, -0.2), p(k, 10, -0.2), p(k, 10, 0.0), p(k + 1, 10, 0.0));
        quad(p(0, k + 1, -0.2), p(0, k, -0.2), p(0, k, 0.0), p(0, k + 1, 0.0));
        quad(p(10, k, -0.2), p(10, k + 1, -0.2), p(10, k + 1, 0.0), p(10, k, 0.0));
        for l in 0..10 {
            quad(p(k, l, -0.2), p(k, l + 1, -0.2), p(k + 1, l + 1, -0.2), p(k + 1, l, -0.2));
        }
    }
    // Inside out: a closed body knows which way is out.
    triangles.iter_mut().for_each(|triangle| triangle.swap(0, 1));
    let (ground, notes) =
        fit(&binary_stl(&triangles), SurveyFormat::Stl, &OPTIONS).expect("a body has a top");
    is_block(&ground);
    noted(&notes, "200 triangles were left out: they face down");
}

#[test]
fn every_cut_off_file_is_refused_or_makes_sense() {
    let stl = binary_stl(&block());
    for length in [0, 10, 83, 84, 100, stl.len() / 2, stl.len() - 1] {
        refused(&stl[..length], SurveyFormat::Stl, "cannot be read as STL");
    }
    let grid = ascii_grid(DVec2::ZERO, 30, 20, 0.02, |_| 0.0);
    for length in (0..grid.len() - 8).step_by(7) {
        let error =
            fit(&grid.as_bytes()[..length], SurveyFormat::EsriGrid, &OPTIONS).expect_err("it is cut off");
        assert!(!error.found.is_empty());
    }
    for bytes in [ply(&block(), true), ply(&block(), false)] {
        for length in (0..bytes.len() - 60).step_by(11) {
            let error = fit(&bytes[..length], SurveyFormat::Ply, &OPTIONS).expect_err("it is cut off");
            assert!(error.found.contains("PLY"), "{error}");
        }
    }
    // An OBJ file does not say how long it is: what is there is read, or refused.
    let obj = obj(&block());
    for length in (0..obj.len()).step_by(97) {
        drop(fit(&obj.as_bytes()[..length], SurveyFormat::Obj, &OPTIONS));
    }
}

/// A PLY file of a mesh, or of its corners alone.
fn ply(triangles: &[[DVec3; 3]], faces: bool) -> Vec<u8> {
    let count = if faces { triangles.len() } else { 0 };
    let mut text = format!(
        "ply\nformat ascii 1.0\nelement vertex {}\nproperty double x\nproperty double y\nproperty double z\n\
         element face {count}\nproperty list uchar int vertex_indices\nend_header\n",
        3 * triangles.len()
    );
    for p in triangles.iter().flatten() {
        let _ = writeln!(text, "{} {} {}", p.x, p.y, p.z);
    }
    for i in 0..count {
        let _ = writeln!(text, "3 {} {} {}", 3 * i, 3 * i + 1, 3 * i + 2);
    }
    text.into_bytes()
}

fn obj(triangles: &[[DVec3; 3]]) -> String {
    let mut text = String::from("# made up\no block\n");
    for p in triangles.iter().flatten() {
        let _ = writeln!(text, "v {} {} {}", p.x, p.y, p.z);
    }
    for i in 0..triangles.len() {
        let _ = writeln!(text, "f {} {} {}", 3 * i + 1, 3 * i + 2, 3 * i + 3);
    }
    text
}

#[test]
fn meshes_of_all_formats_give_the_same_ground() {
    is_block(&fit(&ply(&block(), true), SurveyFormat::Ply, &OPTIONS).expect("PLY").0);
    is_block(&fit(obj(&block()).as_bytes(), SurveyFormat::Obj, &OPTIONS).expect("OBJ").0);
    let mut text = String::from("solid block\n");
    for [a, b, c] in block() {
        let _ = writeln!(text, "facet normal 0 0 0\nouter loop");
        for p in [a, b, c] {
            let _ = writeln!(text, "vertex {} {} {}", p.x, p.y, p.z);
        }
        text += "endloop\nendfacet\n";
    }
    text += "endsolid block\n";
    is_block(&fit(text.as_bytes(), SurveyFormat::Stl, &OPTIONS).expect("STL as text").0);
    refused(&text.as_bytes()[..text.len() / 2], SurveyFormat::Stl, "cut off");
}

#[test]
fn units_and_the_axis_that_points_up() {
    let turned: Vec<[DVec3; 3]> =
        block().iter().map(|t| t.map(|p| DVec3::new(p.x, p.z, -p.y) * 1000.0)).collect();
    let placing = Placing { unit: Some(Unit::Millimetre), up: clamber_ground::Up::Y, ..Placing::default() };
    let (survey, _) = read_survey(&binary_stl(&turned), SurveyFormat::Stl, &placing).expect("it is whole");
    is_block(&fit_ground(&survey, &OPTIONS).expect("it is sound"));
    refused(
        &binary_stl(&block().iter().map(|t| t.map(|p| p * 1e6)).collect::<Vec<_>>()),
        SurveyFormat::Stl,
        "up to 10 km",
    );
}

#[test]
fn a_million_points_in_one_place_are_refused() {
    let survey = Survey::Cloud(vec![DVec3::new(1.0, 2.0, 3.0); 1_000_000]);
    let error = fit_ground(&survey, &OPTIONS).expect_err("no area");
    assert!(error.found.contains("lie within 0.00 mm by 0.00 mm"), "{error}");
    // Beside a real floor they are one place like any other.
    let mut points = vec![DVec3::new(0.5, 0.5, 0.0); 300_000];
    points.extend((0..10_000).map(|i| DVec3::new(0.01 * f64::from(i % 100), 0.01 * f64::from(i / 100), 0.0)));
    let options = FitOptions { cell_m: Some(0.02), ..OPTIONS };
    let ground = fit_ground(&Survey::Cloud(points), &options).expect("a floor");
    assert_eq!(ground.surfaces.len(), 1);
    noted(&ground.notes, "points that repeat others were left out");
}

#[test]
fn numbers_that_are_none_are_refused() {
    let nan = "v 0 0 0\nv 1 0 0\nv 0 nan 0\nf 1 2 3\n";
    refused(nan.as_bytes(), SurveyFormat::Obj, "NaN was found");
    refused(b"v 0 0 0\nv 1 0 0\nf 1 2 3\n", SurveyFormat::Obj, "cannot be read as OBJ");
    refused(b"v 0 0 0\n", SurveyFormat::Obj, "it has no faces");
    let inf = ascii_grid(DVec2::ZERO, 3, 3, 0.1, |p| if p.x > 0.2 { f64::INFINITY } else { 0.0 });
    assert_eq!(refused(inf.as_bytes(), SurveyFormat::EsriGrid, "\"inf\" was found").line, Some(7));
    let face = "ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\n\
                element face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n3 0 1 2\n";
    refused(face.as_bytes(), SurveyFormat::Ply, "a face names vertex");
}

#[test]
fn headers_of_grids_are_checked() {
    let good = "ncols 3\nnrows 2\nxllcorner 0\nyllcorner 0\ncellsize 0.1\n0 0 0\n0 0 0\n";
    assert!(read_survey(good.as_bytes(), SurveyFormat::EsriGrid, &Placing::default()).is_ok());
    for (from, to, words, line) in [
        ("ncols 3", "ncols x", "\"x\" was found", Some(1)),
        ("nrows 2\n", "", "it is missing in the header", None),
        ("nrows 2", "nrows 2.5", "2.5 was found", None),
        ("cellsize 0.1", "cellsize 0", "0 was found", None),
        ("cellsize 0.1", "cellsize 0.1\ndx 0.1", "\"dx\" was found", Some(6)),
        ("0 0 0\n0 0 0", "0 0 0\n0 0", "the file ends after 5 heights", None),
        ("0 0 0\n0 0 0", "0 0 0\n0 0 0 0", "more than 6 heights were found", Some(7)),
        ("0 0 0\n0 0 0", "0 0 0\n0 low 0", "\"low\" was found", Some(7)),
        ("ncols 3\nnrows 2", "ncols 99999\nnrows 99999", "up to 16 million cells", None),
    ] {
        let error = refused(good.replace(from, to).as_bytes(), SurveyFormat::EsriGrid, words);
        assert_eq!(error.line, line, "{error}");
    }
}

#[test]
fn nodata_is_a_hole() {
    let bare = ascii_grid(DVec2::ZERO, 30, 30, 0.02, |_| f64::NAN);
    refused(bare.as_bytes(), SurveyFormat::EsriGrid, "no ground is left");
    let holed = ascii_grid(DVec2::ZERO, 50, 50, 0.02, |p| {
        if (p - DVec2::splat(0.5)).abs().max_element() < 0.1 { f64::NAN } else { 0.2 }
    });
    let (ground, _) = fit(holed.as_bytes(), SurveyFormat::EsriGrid, &OPTIONS).expect("a hole is no error");
    assert!((ground.surfaces[0].area_m2 - 0.96).abs() < 1e-9, "{}", ground.surfaces[0].area_m2);
}

/// Whatever bytes a file holds, the readers and the fit end with an answer or an error.
#[test]
fn random_bytes_do_no_harm() {
    let mut random = Random::new(11);
    let files = [
        (SurveyFormat::Stl, binary_stl(&block())),
        (SurveyFormat::Ply, ply(&block(), true)),
        (SurveyFormat::Obj, obj(&block()).into_bytes()),
        (SurveyFormat::EsriGrid, ascii_grid(DVec2::ZERO, 20, 20, 0.05, |p| p.x * 0.1).into_bytes()),
    ];
    for (format, bytes) in files {
        for _ in 0..60 {
            let mut broken = bytes.clone();
            for _ in 0..4 {
                let at = (random.unit() * broken.len() as f64) as usize;
                broken[at] = (random.unit() * 256.0) as u8;
            }
            drop(fit(&broken, format, &OPTIONS));
        }
    }
}
