//! Angles on spheres, pockets and kissing balls against published numbers.

use crate::support::{
    add, assert_near, bare_ground, centre, cobble, empty, lay_anew, on_deck, on_shell, steel,
};
use clamber_core::unstable::geometry::{Path, Prism, Slope, least_distance_to_prism};
use clamber_core::unstable::math::angle_between;
use clamber_core::unstable::model::touches;
use clamber_core::unstable::motion::{Fault, geometry_faults};
use clamber_core::unstable::travel::{Interest, Spot, spots};
use clamber_core::{DVec2, DVec3};
use clamber_core::{GroundId, Kind, KindId, ModuleId, Placement, Problem};
use std::f64::consts::{FRAC_PI_3, PI, TAU};

/// A ball of a radius that stands right on its sole and can be stood on all over.
fn ball(radius: f64) -> Kind {
    Kind {
        shell_radius_m: radius,
        ride_height_m: radius,
        foot_radius_m: 0.5 * radius,
        peel_radius_m: 0.5 * radius,
        shell_reach_rad: PI,
        ..cobble()
    }
}

/// Unit vector to a place on the globe.
fn on_globe(latitude_deg: f64, longitude_deg: f64) -> DVec3 {
    let ((slat, clat), (slon, clon)) =
        (latitude_deg.to_radians().sin_cos(), longitude_deg.to_radians().sin_cos());
    DVec3::new(clat * clon, clat * slon, slat)
}

/// Rosetta Code, "Haversine formula": Nashville to Los Angeles.
#[test]
fn a_long_great_circle() {
    let angle = angle_between(on_globe(36.12, -86.67), on_globe(33.94, -118.40));
    assert_near(angle * 6372.8 / 2_887.259_950_6, 1.0, 1e-7);
    assert_near(angle * 6371.0 / 2_886.444_442_8, 1.0, 1e-7);
    assert_near(angle.to_degrees(), 25.958_418_5, 1e-6);
}

/// A unit test of a haversine implementation: 549 m, where an arc cosine would lose digits.
#[test]
fn a_short_great_circle() {
    let angle = angle_between(on_globe(38.898_556, -77.037_852), on_globe(38.897_147, -77.043_934));
    assert_near(angle * 6_371_000.0 / 549.155_79, 1.0, 1e-5);
}

/// Coxeter, Regular Polytopes, from memory: dihedral angles by the normals of two faces that share an edge.
#[test]
fn dihedral_angles_of_regular_solids() {
    let dihedral = |a: DVec3, b: DVec3, c: DVec3, d: DVec3| {
        // Faces a b c and a b d.
        PI - angle_between((b - a).cross(c - a), (d - a).cross(b - a))
    };
    let v = DVec3::new;
    let tetra = dihedral(v(1.0, 1.0, 1.0), v(1.0, -1.0, -1.0), v(-1.0, 1.0, -1.0), v(-1.0, -1.0, 1.0));
    assert_near(tetra.to_degrees(), 70.528_779, 1e-6);
    assert_near(dihedral(DVec3::X, DVec3::Y, DVec3::Z, DVec3::NEG_Z).to_degrees(), 109.471_221, 1e-6);
    let golden = 0.5 * (1.0 + 5_f64.sqrt());
    let icosa =
        dihedral(v(0.0, 1.0, golden), v(0.0, -1.0, golden), v(golden, 0.0, 1.0), v(-golden, 0.0, 1.0));
    assert_near(icosa.to_degrees(), 138.189_685, 1e-6);
}

/// A big ball on the ground with a small one at its equator, and a second small one beside the first (elementary, computed):
/// two balls of radius r on a ball of radius R are at least 2·asin(r/(R + r)) apart.
#[test]
fn the_least_angle_between_two_guests() {
    for (ratio, expected_deg) in [(1.0, 60.0), (0.5, 38.942_441), (2.0, 83.620_630)] {
        let mut problem = empty(vec![ball(0.05), ball(0.05 * ratio)], vec![bare_ground(0.5)]);
        lay_anew(&mut problem, |decks| decks[0].1.top = Slope::level(-1.0));
        let big = on_deck(&mut problem, [0.0, 0.0]);
        problem.start.get_mut(big).position = DVec3::ZERO; // in the air: only shells matter here
        guest(&mut problem, big, DVec3::X);
        let gap_at = |angle_deg: f64| {
            let mut crowded = problem.clone();
            let (sin, cos) = angle_deg.to_radians().sin_cos();
            guest(&mut crowded, big, DVec3::new(cos, sin, 0.0));
            let overlaps =
                geometry_faults(&crowded, &crowded.start).iter().any(|f| matches!(f, Fault::Overlap { .. }));
            let between =
                touches(&crowded, &crowded.start).iter().filter(|t| t.other.module().is_some()).count();
            (overlaps, between)
        };
        assert_eq!(gap_at(expected_deg + 1e-5), (false, 1), "ratio {ratio}");
        assert_eq!(gap_at(expected_deg - 0.01), (true, 1), "ratio {ratio}");
        assert_eq!(gap_at(expected_deg + 1.0), (false, 0), "ratio {ratio}");
    }
}

/// A module of the second kind on a shell.
fn guest(problem: &mut Problem, host: ModuleId, toward: DVec3) -> ModuleId {
    let at = centre(problem, host);
    let place = Placement::on_shell(host, at, problem.kind(host), &problem.kinds[1], toward, None)
        .expect("a direction");
    add(problem, KindId(1), place)
}

fn icosahedron() -> Vec<DVec3> {
    let golden = 0.5 * (1.0 + 5_f64.sqrt());
    let mut corners = Vec::new();
    for (a, b) in [(1.0, golden), (1.0, -golden), (-1.0, golden), (-1.0, -golden)] {
        corners.extend([DVec3::new(0.0, a, b), DVec3::new(a, b, 0.0), DVec3::new(b, 0.0, a)]);
    }
    corners
}

/// Twelve equal balls touch a thirteenth, and no thirteenth joins them (Schütte & van der Waerden, Math. Ann. 125 (1953) 325).
#[test]
fn kissing_number_is_twelve() {
    let mut problem = empty(vec![ball(0.05)], vec![bare_ground(0.5)]);
    lay_anew(&mut problem, |decks| decks[0].1.top = Slope::level(-1.0));
    let middle = on_deck(&mut problem, [0.0, 0.0]);
    problem.start.get_mut(middle).position = DVec3::ZERO; // in the air: only shells matter here
    for corner in icosahedron() {
        on_shell(&mut problem, middle, corner);
    }
    let overlaps = |p: &Problem| {
        geometry_faults(p, &p.start).iter().filter(|f| matches!(f, Fault::Overlap { .. })).count()
    };
    assert_eq!(problem.modules.len(), 13);
    assert_eq!(overlaps(&problem), 0);
    // Fibonacci directions, 2° apart.
    let count = 10_000;
    for k in 0..count {
        let z = 1.0 - (2.0 * f64::from(k) + 1.0) / f64::from(count);
        let (sin, cos) = (f64::from(k) * 2.399_963_229_728_653).sin_cos();
        let across = (1.0 - z * z).sqrt();
        let toward = DVec3::new(across * cos, across * sin, z);
        let nearest = icosahedron().into_iter().map(|c| angle_between(c, toward)).fold(PI, f64::min);
        assert!(nearest < FRAC_PI_3, "a hole at {toward}");
        if k % 100 == 0 {
            let mut crowded = problem.clone();
            on_shell(&mut crowded, middle, toward);
            assert!(overlaps(&crowded) > 0, "a thirteenth fits at {toward}");
        }
    }
    // One fewer leaves a place: for the one taken away.
    let mut missing = problem.clone();
    missing.modules.pop();
    missing.start =
        clamber_core::Configuration::new(problem.start.iter().map(|(_, p)| *p).take(12).collect());
    on_shell(&mut missing, middle, icosahedron()[11]);
    assert_eq!(overlaps(&missing), 0);
}

/// Thirteen unit balls at 57.1367031° touch a ball of radius 1.0911454 (Musin & Tarasov, DCG 48 (2012) 128): two of them touch there,
/// and overlap on anything smaller.
#[test]
fn thirteen_balls_need_a_bigger_one() {
    let angle = 57.136_703_1_f64.to_radians();
    for (radius, fits) in [(1.091_145_4, true), (1.091, false)] {
        let mut problem = empty(vec![ball(radius), ball(1.0)], vec![bare_ground(0.5)]);
        lay_anew(&mut problem, |decks| decks[0].1.top = Slope::level(-10.0));
        let big = on_deck(&mut problem, [0.0, 0.0]);
        guest(&mut problem, big, DVec3::X);
        guest(&mut problem, big, DVec3::new(angle.cos(), angle.sin(), 0.0));
        let apart = centre(&problem, ModuleId(1)).distance(centre(&problem, ModuleId(2)));
        assert_eq!(geometry_faults(&problem, &problem.start).is_empty(), fits);
        assert_near(apart, 2.0, if fits { 1e-6 } else { 1e-3 });
    }
}

/// Spots of one more ball that can stand on all of `hosts` there, above the ground.
fn pockets(problem: &mut Problem, hosts: usize) -> Vec<Spot> {
    let far = Placement::on_ground(
        GroundId(0),
        problem.ground(GroundId(0)),
        &problem.kinds[0],
        DVec2::new(1.5, 1.5),
        None,
    );
    let mover = add(problem, KindId(0), far.expect("on deck"));
    let mut found = spots(problem, &problem.start, mover, &Interest::default());
    found.retain(|s| s.hosts.len() == hosts && s.hosts.iter().all(|h| h.module().is_some()));
    found
}

const R: f64 = 0.06;

/// Regular tetrahedron of edge 2R (elementary): height 2R√(2/3), plan offset 2R/√3, lines of centres 54.7356° above the horizontal.
#[test]
fn the_pocket_of_three() {
    let mut problem = empty(vec![ball(R)], vec![steel(0.5)]);
    for k in 0..3 {
        let (sin, cos) = (TAU * f64::from(k) / 3.0).sin_cos();
        on_deck(&mut problem, [2.0 * R / 3_f64.sqrt() * cos, 2.0 * R / 3_f64.sqrt() * sin]);
    }
    assert_eq!(touches(&problem, &problem.start).len(), 3);
    let found = pockets(&mut problem, 3);
    assert_eq!(found.len(), 1, "{found:?}");
    let pocket = found[0].position;
    assert_near((pocket.z - R) / R, 1.632_993_2, 1e-6);
    assert_near(pocket.truncate().length(), 0.0, 1e-9);
    let arms: Vec<DVec3> = (0..3).map(|k| pocket - centre(&problem, ModuleId(k))).collect();
    for arm in &arms {
        assert_near(arm.truncate().length() / R, 1.154_700_5, 1e-6);
        assert_near(angle_between(*arm, DVec3::Z).to_degrees(), 35.264_390, 1e-6);
        assert_near(90.0 - angle_between(*arm, DVec3::Z).to_degrees(), 54.735_610, 1e-6);
    }
    // From the middle of the tetrahedron all contacts are acos(−1/3) apart.
    let middle = (pocket + (0..3).map(|k| centre(&problem, ModuleId(k))).sum::<DVec3>()) / 4.0;
    let to = |p: DVec3| p - middle;
    assert_near(angle_between(to(pocket), to(centre(&problem, ModuleId(0)))).to_degrees(), 109.471_221, 1e-6);
}

/// Conway & Sloane, Sphere Packings, Lattices and Groups, from memory: a ball on two is √3 R above them.
#[test]
fn the_saddle_of_two() {
    let mut problem = empty(vec![ball(R)], vec![steel(0.5)]);
    on_deck(&mut problem, [-R, 0.0]);
    on_deck(&mut problem, [R, 0.0]);
    let found = pockets(&mut problem, 2);
    let highest = found.iter().map(|s| s.position.z - R).fold(0.0, f64::max);
    assert_near(highest / R, 1.732_050_8, 1e-6);
}

/// The same source, from memory: a ball on four in a square is √2 R above them, its lines of centres at 45°.
#[test]
fn the_pocket_of_four() {
    let mut problem = empty(vec![ball(R)], vec![steel(0.5)]);
    for (x, y) in [(-R, -R), (R, -R), (R, R), (-R, R)] {
        on_deck(&mut problem, [x, y]);
    }
    let found = pockets(&mut problem, 4);
    assert_eq!(found.len(), 1, "{found:?}");
    assert_near((found[0].position.z - R) / R, 2_f64.sqrt(), 1e-6);
    let arm = found[0].position - centre(&problem, ModuleId(0));
    assert_near(angle_between(arm, DVec3::Z).to_degrees(), 45.0, 1e-6);
}

/// The same source, from memory: balls that just fit the holes between balls of radius R.
#[test]
fn holes_between_balls() {
    let tetra = |p: f64| {
        vec![DVec3::new(p, p, p), DVec3::new(p, -p, -p), DVec3::new(-p, p, -p), DVec3::new(-p, -p, p)]
    };
    let octa = |p: f64| {
        vec![DVec3::X * p, DVec3::NEG_X * p, DVec3::Y * p, DVec3::NEG_Y * p, DVec3::Z * p, DVec3::NEG_Z * p]
    };
    let triangle =
        |p: f64| (0..3).map(|k| DVec2::from_angle(TAU * f64::from(k) / 3.0).extend(0.0) * p).collect();
    let rings: [(Vec<DVec3>, f64); 3] = [
        (triangle(2.0 / 3_f64.sqrt()), 0.154_700_5),
        (tetra(0.5_f64.sqrt()), 0.224_744_9),
        (octa(2_f64.sqrt()), 0.414_213_6),
    ];
    for (balls, hole) in rings {
        for (radius, fits) in [(hole - 1e-4, true), (hole + 1e-4, false)] {
            let mut problem = empty(vec![ball(1.0), ball(radius)], vec![bare_ground(0.5)]);
            lay_anew(&mut problem, |decks| decks[0].1.top = Slope::level(-100.0));
            for position in &balls {
                let id = on_deck(&mut problem, [0.0, 0.0]);
                problem.start.get_mut(id).position = *position;
            }
            let mut small = *problem.start.get(ModuleId(0));
            small.position = DVec3::ZERO;
            add(&mut problem, KindId(1), small);
            let faults = geometry_faults(&problem, &problem.start);
            let overlaps = faults.iter().filter(|f| matches!(f, Fault::Overlap { .. })).count();
            assert_eq!(overlaps == 0, fits, "hole {hole}: {faults:?}");
        }
    }
}

/// A ball's centre on an arc about the y axis, and a triangle that is the top of a solid: the least distances and where they are reached, from an
/// enclosure by chords and, independently, a scan with Brent's method. The solid's walls lie below the triangle and are farther off.
#[test]
fn an_arc_and_a_triangle() {
    let cases = [
        (90.0, [[0.15, -0.05, 0.0], [0.25, -0.05, 0.0], [0.2, 0.08, 0.1]], 0.053_706_180, 90.0),
        (180.0, [[0.05, -0.05, -0.1], [0.2, -0.05, -0.1], [0.12, 0.08, -0.02]], 0.029_554_451, 147.281_156),
    ];
    for (degrees, corners, least_m, at_degrees) in cases {
        let [a, b, c] = corners.map(DVec3::from_array);
        let normal = (b - a).cross(c - a);
        let rise = DVec2::new(-normal.x, -normal.y) / normal.z;
        let height = a.z - rise.dot(a.truncate());
        let prism = Prism {
            outline: [a, b, c].map(DVec3::truncate).to_vec(),
            bottom: -1.0,
            top: Slope::rising(height, rise),
        };
        let (cosine, sine) = (DVec3::Z * 0.12, DVec3::X * 0.12);
        let path = Path::Arc { centre: DVec3::Z * 0.06, cosine, sine, span: f64::to_radians(degrees) };
        let (found_m, at) = least_distance_to_prism(&path, &prism, 1.0).expect("it is nearer than a metre");
        assert_near(found_m, least_m, 1e-8);
        assert_near(at.to_degrees(), at_degrees, 1e-3);
    }
}
