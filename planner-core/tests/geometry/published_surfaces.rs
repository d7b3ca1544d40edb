//! Areas of accessible surfaces against published closed forms.

use crate::support::assert_near;
use clamber_core::DVec3;
use clamber_core::unstable::geometry::surface::{Carrier, Obstacle, Region};
use clamber_core::unstable::geometry::{Outline, Slope};
use clamber_core::unstable::math::tolerance;
use std::f64::consts::PI;
use std::sync::Arc;

/// Regions of all balls of a cluster: what a probe's centre can reach on each.
fn faces(balls: &[(DVec3, f64)], probe: f64) -> Vec<Region> {
    let radius = |i: usize| balls[i].1 + probe;
    (0..balls.len())
        .map(|i| {
            let obstacles = (0..balls.len())
                .filter(|&j| j != i)
                .map(|j| Obstacle::Ball { centre: balls[j].0, radius: radius(j) })
                .collect();
            Region::new(Carrier::Sphere { centre: balls[i].0, radius: radius(i) }, obstacles)
        })
        .collect()
}

fn area(balls: &[(DVec3, f64)], probe: f64) -> f64 {
    faces(balls, probe).iter().map(Region::area).sum()
}

/// Unit balls at the corners of a triangle or tetrahedron with edge 2.
fn touching(count: usize) -> Vec<(DVec3, f64)> {
    let corners = [
        DVec3::ZERO,
        DVec3::new(2.0, 0.0, 0.0),
        DVec3::new(1.0, 3.0_f64.sqrt(), 0.0),
        DVec3::new(1.0, 1.0 / 3.0_f64.sqrt(), 8.0_f64.sqrt() / 3.0_f64.sqrt()),
    ];
    corners[..count].iter().map(|&c| (c, 1.0)).collect()
}

/// Closed form for two spheres: the hidden area is (π/d)[r1(r2²−(d−r1)²)+r2(r1²−(d−r2)²)] (used to test `FreeSASA`, S. Mitternacht,
/// F1000Research 5 (2016) 189; method Lee & Richards, J. Mol. Biol. 55 (1971) 379).
#[test]
fn two_spheres() {
    let pair = |r1: f64, r2: f64, d: f64| area(&[(DVec3::ZERO, r1), (DVec3::new(0.0, d, 0.0), r2)], 0.0);
    assert_near(pair(1.0, 1.0, 1.0), 6.0 * PI, 1e-9);
    assert_near(pair(1.0, 2.0, 2.0), 17.5 * PI, 1e-9);
    for (r1, r2, d) in [(1.0, 0.3, 1.2), (0.7, 1.9, 1.3), (1.0, 1.0, 1.999), (1.0, 1.0, 0.001)] {
        let hidden: f64 =
            (PI / d) * (r1 * (r2 * r2 - (d - r1) * (d - r1)) + r2 * (r1 * r1 - (d - r2) * (d - r2)));
        assert_near(pair(r1, r2, d), 4.0 * PI * (r1 * r1 + r2 * r2) - hidden, 1e-9);
    }
}

/// Two, three and four touching unit balls seen by a unit probe. Two: each loses a 60° cap, a quarter (Archimedes' hat-box). Three: cap
/// inclusion and exclusion (Richmond, J. Mol. Biol. 178 (1984) 63), from memory, checked by counting. Four: computed by arc
/// quadrature and by counting.
#[test]
fn touching_balls() {
    assert_near(area(&touching(2), 1.0), 24.0 * PI, 1e-9);
    assert_near(area(&touching(3), 1.0), 91.710_395, 1e-6);
    assert_near(area(&touching(4), 1.0), 103.612_29, 1e-5);
    for face in faces(&touching(4), 1.0) {
        assert_near(face.area() / (16.0 * PI), 0.515_325_2, 1e-6);
        assert_eq!(face.parts, 1);
    }
}

/// Twelve neighbours at the corners of an icosahedron leave nothing of the middle ball free (kissing number 12: Schütte & van der
/// Waerden, Math. Ann. 125 (1953) 325).
#[test]
fn twelve_neighbours_hide_the_middle() {
    let golden = 0.5 * (1.0 + 5.0_f64.sqrt());
    let mut balls = vec![(DVec3::ZERO, 1.0)];
    for a in [-1.0, 1.0] {
        for b in [-golden, golden] {
            for corner in [DVec3::new(0.0, a, b), DVec3::new(a, b, 0.0), DVec3::new(b, 0.0, a)] {
                balls.push((corner.normalize() * 2.0, 1.0));
            }
        }
    }
    let middle = &faces(&balls, 1.0)[0];
    assert!(middle.is_empty() || middle.area() < 1e-9, "{} free", middle.area());
    assert_eq!(middle.arcs.len(), 0);
}

/// The area of a cap, 2πR²(1−cos θ), from memory; the reach of a shell cuts one off.
#[test]
fn caps() {
    for (degrees, expected) in [(30.0_f64, 0.841_787), (45.0, 1.840_302), (60.0, PI), (90.0, 2.0 * PI)] {
        let plane = clamber_core::unstable::geometry::surface::Plane {
            normal: DVec3::Z,
            offset: degrees.to_radians().cos(),
        };
        let region = Region::new(
            Carrier::Sphere { centre: DVec3::ZERO, radius: 1.0 },
            vec![Obstacle::Inside(vec![plane])],
        );
        assert_near(region.area(), expected, 1e-6);
    }
}

/// Two caps of 60° whose centres are 60° apart share 1.3593476 sr (spherical lens; Tovchigrechko & Vakser, Protein Sci. 10 (2001) 1572,
/// from memory).
#[test]
fn lens() {
    let cap = |direction: DVec3| {
        let plane = clamber_core::unstable::geometry::surface::Plane {
            normal: -direction,
            offset: -(60.0_f64.to_radians().cos()),
        };
        Obstacle::Inside(vec![plane])
    };
    let sphere = Carrier::Sphere { centre: DVec3::ZERO, radius: 1.0 };
    let second = DVec3::new(60.0_f64.to_radians().sin(), 0.0, 0.5);
    let free = Region::new(sphere, vec![cap(DVec3::Z), cap(second)]).area();
    assert_near(2.0 * PI - (4.0 * PI - free), 1.359_347_6, 1e-7);
}

/// A level deck with a round and a square obstacle, against plain sums of rectangles and discs; the square splits it in two.
#[test]
fn level_decks() {
    let outline = |x: f64, y: f64| {
        vec![
            clamber_core::DVec2::new(-x, -y),
            clamber_core::DVec2::new(x, -y),
            clamber_core::DVec2::new(x, y),
            clamber_core::DVec2::new(-x, y),
        ]
    };
    let deck = Carrier::Plane(Slope::level(0.5));
    let edge = Obstacle::OutsideArea {
        plane: Slope::level(0.5),
        outline: Arc::new(Outline::of_all(&[&outline(2.0, 1.0)])),
        radius: 0.25,
    };
    let whole = Region::new(deck, vec![edge.clone()]);
    assert_near(whole.area(), 3.5 * 1.5, 1e-12);
    let ball = Obstacle::Ball { centre: DVec3::new(0.5, 0.1, 0.8), radius: 0.5 };
    let hole = Region::new(deck, vec![edge.clone(), ball]);
    assert_near(hole.area(), 3.5 * 1.5 - PI * 0.16, 1e-12);
    assert_eq!(hole.parts, 1);
    let wall = Obstacle::NearPolygon { plane: Slope::level(0.5), outline: outline(0.2, 1.5), radius: 0.1 };
    let split = Region::new(deck, vec![edge.clone(), wall]);
    assert_near(split.area(), (3.5 - 0.6) * 1.5, 1e-12);
    assert_eq!(split.parts, 2);
    let post = Obstacle::NearPolygon { plane: Slope::level(0.5), outline: outline(0.2, 0.3), radius: 0.1 };
    let round = Region::new(deck, vec![edge, post]);
    let hidden = 0.4 * 0.6 + 2.0 * 0.1 * (0.4 + 0.6) + PI * 0.01;
    assert_near(round.area(), 3.5 * 1.5 - hidden, 1e-12);
    assert_eq!(round.parts, 1);
    assert!(round.arcs.iter().all(|a| a.length() > tolerance::LENGTH_M));
}

/// Three touching balls leave two pockets that have nothing to do with each other only when a fourth and fifth close the ring; here a
/// belt of caps parts a sphere into two.
#[test]
fn a_belt_parts_a_sphere() {
    let balls: Vec<Obstacle> = (0..8)
        .map(|k| {
            let (sin, cos) = (f64::from(k) * PI / 4.0).sin_cos();
            Obstacle::Ball { centre: DVec3::new(2.0 * cos, 2.0 * sin, 0.0), radius: 2.0 }
        })
        .collect();
    let region = Region::new(Carrier::Sphere { centre: DVec3::ZERO, radius: 2.0 }, balls);
    assert_eq!(region.parts, 2);
    let (a, b) = (region.part_area(0), region.part_area(1));
    assert_near(a, b, 1e-9);
    assert_near(a + b, region.area(), 1e-9);
    assert_ne!(region.part_at(DVec3::new(0.0, 0.0, 2.0)), region.part_at(DVec3::new(0.0, 0.0, -2.0)));
}
