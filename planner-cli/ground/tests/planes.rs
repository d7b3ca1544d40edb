//! Ground of flat pieces with known planes and areas, turned, shifted and noisy.

mod made;

use clamber_ground::{FitOptions, Ground, Placing, Plane, SurveyFormat, Unit, Use, fit_ground, read_survey};
use glam::{DVec2, DVec3};
use made::{Random, ascii_grid, binary_stl};
use proptest::prelude::*;

const FOOT: f64 = 0.04;

fn options(tolerance_m: f64) -> FitOptions {
    FitOptions { tolerance_m, foot_radius_m: FOOT, accuracy_m: None, cell_m: None }
}

fn in_metres() -> Placing {
    Placing { unit: Some(Unit::Metre), ..Placing::default() }
}

fn ground_of(bytes: &[u8], format: SurveyFormat, options: &FitOptions) -> Ground {
    let (survey, _) = read_survey(bytes, format, &in_metres()).expect("the file can be read");
    fit_ground(&survey, options).expect("the survey can be fitted")
}

/// A roof: two planes that cross in a line, and a level terrace beside a step. Turned about z by an angle and shifted.
struct Roof {
    turn: DVec2,
    shift: DVec2,
    pitch: f64,
    step: f64,
}

impl Roof {
    fn planes(&self) -> [Plane; 3] {
        let slope = |local: DVec2| self.turn.rotate(local);
        let along = |height: f64, local: DVec2| Plane {
            height: height - slope(local).dot(self.shift),
            slope: slope(local),
        };
        [
            along(0.0, DVec2::new(0.0, 0.0)),
            along(0.0, DVec2::new(self.pitch, 0.0)),
            along(0.6 * self.pitch + self.step, DVec2::ZERO),
        ]
    }

    /// Which plane lies under a place: flat up to 0, rising to 0.6, then a terrace.
    fn part(&self, p: DVec2) -> usize {
        let local = self.turn.conjugate().rotate(p - self.shift);
        if local.x < 0.0 {
            0
        } else if local.x < 0.6 {
            1
        } else {
            2
        }
    }

    fn height(&self, p: DVec2) -> f64 {
        self.planes()[self.part(p)].at(p)
    }
}

trait Conjugate {
    fn conjugate(self) -> Self;
}

impl Conjugate for DVec2 {
    fn conjugate(self) -> Self {
        Self::new(self.x, -self.y)
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(1), ..ProptestConfig::default() })]

    /// Noise of 1 mm on cells of 2 cm. A plane fitted to n points with noise σ over a width w is off by about σ √(12 / n) / w in slope and σ / √n in
    /// height; five times that and the largest cell of disagreement at borders is allowed.
    #[test]
    fn planes_of_noisy_grids_are_found(
        angle in 0.0..std::f64::consts::TAU,
        x in -3.0..3.0_f64, y in -3.0..3.0_f64,
        pitch in 0.1..0.5_f64, step in 0.03..0.2_f64,
        seed in 0..1000_u64,
    ) {
        let roof = Roof { turn: DVec2::from_angle(angle), shift: DVec2::new(x, y), pitch, step };
        let mut random = Random::new(seed);
        let low = roof.shift - DVec2::splat(0.9);
        let middle = 0.3 * roof.turn;
        let file = ascii_grid(low, 90, 90, 0.02, |p| {
            let inside = (p - roof.shift - middle).length() < 0.85;
            if inside { roof.height(p) + 0.001 * random.normal() } else { f64::NAN }
        });
        let ground = ground_of(file.as_bytes(), SurveyFormat::EsriGrid, &options(0.006));
        let facets: Vec<_> = ground.surfaces.iter().filter(|s| s.sort == Use::Facet).collect();
        prop_assert_eq!(facets.len(), 3);
        for plane in roof.planes() {
            let near = |p: &Plane| (p.slope - plane.slope).length() < 0.003 && (p.at(roof.shift) - plane.at(roof.shift)).abs() < 0.002;
            prop_assert!(facets.iter().any(|facet| near(&facet.plane)), "no facet has {:?}", plane);
        }
        for facet in facets {
            prop_assert!(facet.worst_m <= 0.006 && facet.breaches == 0);
            // 1.96 σ of a normal distribution, and what the fit itself bends.
            prop_assert!((0.0017..0.0026).contains(&facet.relief_m), "relief {}", facet.relief_m);
        }
        // The crease is found where the planes cross: the tops agree along it.
        let creases = ground.meetings.iter().filter(|m| m.crease_deg > 3.0 && m.step_m[1].abs().max(m.step_m[0].abs()) < 0.01);
        let mut met = 0;
        for crease in creases {
            met += 1;
            // A crease that ends at the border of the survey may end one cell beside its line.
            let allowed = 3e-4 + 0.02 * pitch;
            prop_assert!(crease.step_m.iter().all(|step| step.abs() < allowed), "{:?}", crease);
        }
        prop_assert_eq!(met, 1);
    }

    /// A mesh without noise: areas and heights are those of the closed form.
    #[test]
    fn areas_of_exact_meshes_are_found(
        angle in 0.0..std::f64::consts::TAU,
        x in -3.0..3.0_f64, y in -3.0..3.0_f64,
        pitch in 0.1..0.5_f64, step in 0.03..0.2_f64,
        cuts in 1..9_usize,
    ) {
        let roof = Roof { turn: DVec2::from_angle(angle), shift: DVec2::new(x, y), pitch, step };
        let triangles = roof_mesh(&roof, cuts);
        let ground = ground_of(&binary_stl(&triangles), SurveyFormat::Stl, &options(0.004));
        prop_assert_eq!(ground.surfaces.len(), 3);
        let mut areas: Vec<f64> = ground.surfaces.iter().map(|s| s.area_m2).collect();
        areas.sort_by(f64::total_cmp);
        // Corners are rounded to 0.1 mm: half of that along each metre of the outline.
        for (found, exact) in areas.iter().zip([0.4, 0.5, 0.6]) {
            prop_assert!((found - exact).abs() < 4.0 * 1e-4, "{} instead of {}", found, exact);
        }
        for surface in &ground.surfaces {
            prop_assert!(surface.worst_m < 2e-4 && surface.relief_m <= 2e-4 && surface.breaches == 0);
            prop_assert_eq!(surface.outlines.len(), 1);
            prop_assert_eq!(surface.outlines[0].len(), 4);
        }
    }
}

/// The roof as a mesh, 1 m wide: 0.5 m flat, 0.6 m of slope, an upright wall, 0.4 m of terrace; the slope cut into so many strips, so that edges
/// of the wall below and above do not match.
fn roof_mesh(roof: &Roof, cuts: usize) -> Vec<[DVec3; 3]> {
    let mut triangles = Vec::new();
    let place = |x: f64, y: f64, z: f64| (roof.shift + roof.turn.rotate(DVec2::new(x, y))).extend(z);
    let mut quad = |a: DVec3, b: DVec3, c: DVec3, d: DVec3| triangles.extend([[a, b, c], [a, c, d]]);
    let top = 0.6 * roof.pitch + roof.step;
    let mut strip = |x0: f64, z0: f64, x1: f64, z1: f64, count: usize| {
        for i in 0..count {
            let (y0, y1) = (i as f64 / count as f64, (i + 1) as f64 / count as f64);
            quad(place(x0, y0, z0), place(x1, y0, z1), place(x1, y1, z1), place(x0, y1, z0));
        }
    };
    strip(-0.5, 0.0, 0.0, 0.0, 2);
    strip(0.0, 0.0, 0.6, 0.6 * roof.pitch, cuts);
    strip(0.6, 0.6 * roof.pitch, 0.6, top, 3);
    strip(0.6, top, 1.0, top, 2);
    triangles
}

#[test]
fn a_smooth_floor_is_level_and_bare_of_relief() {
    let file = ascii_grid(DVec2::ZERO, 30, 30, 0.02, |_| 0.25);
    let ground = ground_of(file.as_bytes(), SurveyFormat::EsriGrid, &options(0.005));
    let [floor] = &ground.surfaces[..] else { panic!("one facet: {:?}", ground.surfaces) };
    assert_eq!((floor.plane, floor.relief_m, floor.tilt_deg), (Plane::level(0.25), 0.0, 0.0));
    assert_eq!(
        floor.outlines,
        [vec![DVec2::ZERO, DVec2::new(0.6, 0.0), DVec2::new(0.6, 0.6), DVec2::new(0.0, 0.6)]]
    );
}

#[test]
fn accuracy_is_added_to_relief_and_tilt() {
    let file = ascii_grid(DVec2::ZERO, 30, 30, 0.02, |_| 0.25);
    let with = FitOptions { accuracy_m: Some(0.003), ..options(0.005) };
    let ground = ground_of(file.as_bytes(), SurveyFormat::EsriGrid, &with);
    assert_eq!(ground.surfaces[0].relief_m, 0.003);
    // atan(3 / 40) = 4.289°, rounded up.
    assert_eq!(ground.surfaces[0].tilt_deg, 4.29);
}

/// A ripple of 2 mm with a length of 0.2 m: 95 % of a sine lie within sin(0.95 π/2) = 0.9969 of its height; its steepest place rises by
/// 0.002 · 2π/0.2 = 3.6°, and a foot of 80 mm sees a part of it.
#[test]
fn relief_and_tilt_of_a_ripple() {
    let file = ascii_grid(DVec2::ZERO, 200, 100, 0.01, |p| 0.002 * (p.x * std::f64::consts::TAU / 0.2).sin());
    let ground = ground_of(file.as_bytes(), SurveyFormat::EsriGrid, &options(0.005));
    let [floor] = &ground.surfaces[..] else { panic!("one facet: {:?}", ground.surfaces) };
    assert!((0.0019..=0.0021).contains(&floor.relief_m), "{}", floor.relief_m);
    assert!((1.5..3.6).contains(&floor.tilt_deg), "{}", floor.tilt_deg);
}
