//! Closed-form extremes of paths, prisms and waves against fine scans.

use crate::support::fixed;
use clamber_core::unstable::geometry::{
    Outline, Path, Prism, Slope, Sweep, keeps_off_prism, least_distance_between, least_distance_to_prism,
    least_inset,
};
use clamber_core::unstable::math::{SecondWave, Wave, angle_between};
use clamber_core::{DVec2, DVec3};
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};

const SAMPLES: usize = 4000;

fn vector(size: f64) -> impl Strategy<Value = DVec3> {
    (-size..size, -size..size, -size..size).prop_map(|(x, y, z)| DVec3::new(x, y, z))
}

fn direction() -> impl Strategy<Value = DVec3> {
    vector(1.0).prop_filter_map("a direction", |v| (v.length() > 0.1).then(|| v.normalize()))
}

/// Arcs up to three turns, and straight lines.
fn path() -> impl Strategy<Value = Path> {
    prop_oneof![
        (vector(1.0), direction(), vector(1.0), -3.0 * TAU..3.0 * TAU)
            .prop_map(|(point, axis, p, angle)| Sweep::Turn { point, axis, angle }.path_of(p)),
        (vector(1.0), vector(1.0)).prop_map(|(from, step)| Path::Line { from, step }),
    ]
}

/// A star-shaped polygon, so simple and counter-clockwise, often with notches; with or without a bottom.
fn prism() -> impl Strategy<Value = Prism> {
    let radii = prop::collection::vec(0.1..1.0_f64, 3..9);
    let slope = prop::option::of((-1.0..1.0, -1.0..1.0));
    (radii, -0.5..0.5, -0.5..0.5, -0.6..0.6, prop::option::of(0.05..0.8), slope).prop_map(
        |(radii, x, y, height, thick, slope)| {
            let count = radii.len();
            let corner =
                |k: usize, r: f64| DVec2::new(x, y) + DVec2::from_angle(TAU * k as f64 / count as f64) * r;
            let outline: Vec<DVec2> = radii.iter().enumerate().map(|(k, &r)| corner(k, r)).collect();
            let top = slope.map_or(Slope::level(height), |(a, b)| Slope::rising(height, DVec2::new(a, b)));
            let lowest = outline.iter().map(|&at| top.height_at(at)).fold(f64::INFINITY, f64::min);
            Prism { outline, bottom: thick.map_or(f64::NEG_INFINITY, |t| lowest - t), top }
        },
    )
}

/// The least of many samples, and how far the true least can be below it if the value changes by at most `speed` per unit.
fn scan(span: f64, value: impl Fn(f64) -> f64) -> f64 {
    (0..=SAMPLES).map(|k| value(span * k as f64 / SAMPLES as f64)).fold(f64::INFINITY, f64::min)
}

/// Half a sample's way of a point on a path: no distance to it can be overlooked by more.
fn blur(path: &Path) -> f64 {
    let way = match path {
        Path::Arc { cosine, span, .. } => cosine.length() * span.abs(),
        Path::Line { step, .. } => step.length(),
        Path::Trochoid { cosine, span, step, .. } => cosine.length() * span.abs() + step.length(),
    };
    0.5 * way / SAMPLES as f64
}

/// A bottom that no path here comes near.
const DEEP: f64 = -100.0;

/// Distance to a solid by its definition: zero inside, otherwise that to the nearest face.
fn distance_by_definition(prism: &Prism, p: DVec3) -> f64 {
    let (corners, bottom) = (&prism.outline, prism.bottom.max(DEEP));
    let top = |at: DVec2| at.extend(prism.top.height_at(at));
    if winds_round(corners, p.truncate()) && (bottom..=top(p.truncate()).z).contains(&p.z) {
        return 0.0;
    }
    let upper: Vec<DVec3> = corners.iter().map(|&at| top(at)).collect();
    let lower: Vec<DVec3> = corners.iter().map(|&at| at.extend(bottom)).collect();
    let walls = (0..corners.len()).map(|k| {
        let next = (k + 1) % corners.len();
        vec![lower[k], lower[next], upper[next], upper[k]]
    });
    let faces: Vec<Vec<DVec3>> = walls.chain([upper.clone(), lower.clone()]).collect();
    faces.iter().map(|face| distance_to_face(face, p)).fold(f64::INFINITY, f64::min)
}

fn winds_round(corners: &[DVec2], p: DVec2) -> bool {
    let count = corners.len();
    let turns: f64 = (0..count).map(|k| (corners[k] - p).angle_to(corners[(k + 1) % count] - p)).sum();
    turns.abs() > PI
}

/// Distance to a plane polygon in space: to its plane where the foot is inside, otherwise to the nearest edge.
fn distance_to_face(face: &[DVec3], p: DVec3) -> f64 {
    let count = face.len();
    // Newell's method for the normal of a polygon.
    let normal = (0..count).map(|k| face[k].cross(face[(k + 1) % count])).sum::<DVec3>().normalize();
    let across = normal.any_orthonormal_vector();
    let flat = |q: DVec3| DVec2::new((q - face[0]).dot(across), (q - face[0]).dot(normal.cross(across)));
    let corners: Vec<DVec2> = face.iter().map(|&q| flat(q)).collect();
    if winds_round(&corners, flat(p)) {
        return (p - face[0]).dot(normal).abs();
    }
    let edges = (0..count).map(|k| {
        let (a, b) = (face[k], face[(k + 1) % count]);
        let t = ((p - a).dot(b - a) / (b - a).length_squared()).clamp(0.0, 1.0);
        p.distance(a + (b - a) * t)
    });
    edges.fold(f64::INFINITY, f64::min)
}

proptest! {
    #![proptest_config(fixed(256))]

    #[test]
    fn distance_to_a_point(path in path(), q in vector(1.5)) {
        let (least, t) = path.least_distance_to_point(q);
        let scanned = scan(path.span(), |t| path.at(t).distance(q));
        prop_assert!((path.at(t).distance(q) - least).abs() < 1e-12, "not reached at its own parameter");
        prop_assert!(least <= scanned + 1e-12, "{} scanned, {} claimed", scanned, least);
        prop_assert!(least >= scanned - blur(&path) - 1e-12, "{} scanned, {} claimed", scanned, least);
    }

    #[test]
    fn reach_from_middle_bounds_the_path(path in path()) {
        let middle = path.at(0.5 * path.span());
        let farthest = -scan(path.span(), |t| -path.at(t).distance(middle));
        prop_assert!(farthest <= path.reach_from_middle() + 1e-12);
    }

    #[test]
    fn point_to_prism_by_definition(prism in prism(), p in vector(1.5)) {
        prop_assert!((prism.distance(p) - distance_by_definition(&prism, p)).abs() < 1e-12);
        prop_assert!((prism.nearest_point(p).distance(p) - prism.distance(p)).abs() < 1e-12);
        prop_assert!(distance_by_definition(&prism, prism.nearest_point(p)) < 1e-12);
    }

    #[test]
    fn path_to_prism(path in path(), prism in prism()) {
        let scanned = scan(path.span(), |t| distance_by_definition(&prism, path.at(t)));
        let (least, t) = least_distance_to_prism(&path, &prism, f64::INFINITY).expect("nothing is beyond infinity");
        prop_assert!((prism.distance(path.at(t)) - least).abs() < 1e-12, "not reached at its own parameter");
        prop_assert!(least <= scanned + 1e-9, "{} scanned, {} claimed", scanned, least);
        prop_assert!(least >= scanned - blur(&path) - 1e-12, "{} scanned, {} claimed", scanned, least);
    }

    #[test]
    fn path_to_prism_is_left_out_only_when_far(path in path(), prism in prism(), below in 0.0..0.6_f64) {
        let scanned = scan(path.span(), |t| distance_by_definition(&prism, path.at(t)));
        match least_distance_to_prism(&path, &prism, below) {
            None => prop_assert!(scanned >= below - 1e-12, "{} is below {}", scanned, below),
            Some((least, _)) => prop_assert!((least - scanned).abs() <= blur(&path) + 1e-9),
        }
    }

    #[test]
    fn path_keeps_off_a_prism(path in path(), prism in prism(), keep in 0.0..0.6_f64) {
        let scanned = scan(path.span(), |t| distance_by_definition(&prism, path.at(t)));
        if keeps_off_prism(&path, &prism, keep) {
            prop_assert!(scanned >= keep - 1e-12, "{} is nearer than {}", scanned, keep);
        } else {
            prop_assert!(scanned - blur(&path) <= keep + 1e-9, "{} is not nearer than {}", scanned, keep);
        }
    }

    /// Exact while the foot's centre stays inside, and not positive when it does not.
    #[test]
    fn foot_inside_outline(path in path(), prism in prism()) {
        let (least, t) = least_inset(&path, &Outline::of_all(&[&prism.outline]), f64::INFINITY).expect("nothing is left out");
        prop_assert!((prism.inset(path.at(t).truncate()) - least).abs() < 1e-12);
        let scanned = scan(path.span(), |t| prism.inset(path.at(t).truncate()));
        if least > 0.0 {
            prop_assert!((least - scanned).abs() <= blur(&path) + 1e-9, "{} scanned, {} claimed", scanned, least);
        } else {
            prop_assert!(scanned <= blur(&path));
        }
        prop_assert!(scanned >= 0.0 || least <= 1e-12, "{} scanned, {} claimed", scanned, least);
    }

    #[test]
    fn two_moving_points(a in path(), b in path()) {
        let at = |share: f64| a.at(share * a.span()).distance(b.at(share * b.span()));
        let (least, share) = least_distance_between(&a, &b);
        let scanned = scan(1.0, at);
        prop_assert!((at(share) - least).abs() < 1e-12);
        prop_assert!(least <= scanned + 1e-10, "{} scanned, {} claimed", scanned, least);
        prop_assert!(least >= scanned - blur(&a) - blur(&b) - 1e-10);
    }

    #[test]
    fn a_wave_and_its_roots(mean in -2.0..2.0, cosine in -1.0..1.0, sine in -1.0..1.0, span in -9.0..9.0) {
        let wave = Wave::new(mean, cosine, sine);
        let roots: Vec<f64> = wave.roots(span).collect();
        for &t in &roots {
            prop_assert!(wave.at(t).abs() < 1e-7 && t.abs() < f64::abs(span) && t * span > 0.0, "root {}", t);
        }
        // Where the wave only just passes zero, two roots may fall between two samples.
        let seen = sign_changes(span, |t| wave.at(t));
        prop_assert!(seen <= roots.len() && (roots.len() - seen).is_multiple_of(2), "{} seen, {:?}", seen, roots);
        let slope = Wave::new(0.0, sine, -cosine);
        prop_assert_eq!(sign_changes(span, |t| slope.at(t)), wave.stationary(span).count());
        let (low, high) = (scan(span, |t| wave.at(t)), -scan(span, |t| -wave.at(t)));
        prop_assert!(wave.least(span) <= low + 1e-12 && wave.least(span) >= low - 1e-5);
        prop_assert!(wave.greatest(span) >= high - 1e-12 && wave.greatest(span) <= high + 1e-5);
    }

    #[test]
    fn a_second_wave_has_every_turning_point(
        mean in -1.0..1.0, c1 in -1.0..1.0, s1 in -1.0..1.0, c2 in -1.0..1.0, s2 in -1.0..1.0, span in -9.0..9.0,
    ) {
        let wave = SecondWave { mean, first: [c1, s1], second: [c2, s2] };
        let slope = |t: f64| -c1 * t.sin() + s1 * t.cos() - 2.0 * c2 * (2.0 * t).sin() + 2.0 * s2 * (2.0 * t).cos();
        let found = wave.stationary(span);
        // Every change of sign has one; others may be among them.
        prop_assert!(sign_changes(span, slope) <= found.len());
        let least = found.iter().chain(&[0.0, span]).map(|&t| wave.at(t)).fold(f64::INFINITY, f64::min);
        prop_assert!(least <= scan(span, |t| wave.at(t)) + 1e-9);
    }

    #[test]
    fn the_square_of_a_wave(mean in -2.0..2.0, cosine in -1.0..1.0, sine in -1.0..1.0, t in -9.0..9.0) {
        let wave = Wave::new(mean, cosine, sine);
        prop_assert!((SecondWave::square(wave).at(t) - wave.at(t).powi(2)).abs() < 1e-12);
        let twice = SecondWave::square(wave).plus(SecondWave::square(wave));
        prop_assert!((twice.at(t) - 2.0 * wave.at(t).powi(2)).abs() < 1e-12);
    }

    #[test]
    fn a_part_of_a_path_is_on_it(path in path(), from in 0.0..1.0_f64, to in 0.0..1.0_f64, share in 0.0..1.0_f64) {
        let part = path.part(from, to);
        let there = part.at(share * part.span());
        let whole = path.at((from + (to - from) * share) * path.span());
        prop_assert!(there.distance(whole) < 1e-12);
        prop_assert!((part.length() - path.length() * (to - from).abs()).abs() < 1e-12);
    }

    #[test]
    fn the_angle_of_a_turn(axis in direction(), angle in 1e-9..3.1) {
        let across = axis.any_orthonormal_vector();
        let turned = Sweep::Turn { point: DVec3::ZERO, axis, angle }.point_at(across, 1.0);
        prop_assert!((angle_between(across, turned) - angle).abs() < 1e-14);
    }
}

/// Roots of a function that a fine scan sees.
fn sign_changes(span: f64, value: impl Fn(f64) -> f64) -> usize {
    let at = |k: usize| value(span * k as f64 / SAMPLES as f64) > 0.0;
    (0..SAMPLES).filter(|&k| at(k) != at(k + 1)).count()
}
