//! How many modules find room on one shell, against the best possible spreads of points on a sphere (Tammes' problem).

use crate::support::Dice;
use clamber_core::DVec3;
use clamber_core::unstable::geometry::surface::{Carrier, Obstacle, Region};

/// Where a point of the unit sphere is at least this angle from all others.
fn room(others: &[DVec3], angle_rad: f64) -> Region {
    let radius = 2.0 * (0.5 * angle_rad).sin();
    let obstacles = others.iter().map(|&centre| Obstacle::Ball { centre, radius }).collect();
    Region::new(Carrier::Sphere { centre: DVec3::ZERO, radius: 1.0 }, obstacles)
}

/// Puts points one by one where the surface says that there is room, at pockets where there are any, until there is none.
fn spread(dice: &mut Dice, angle_rad: f64) -> Vec<DVec3> {
    let mut placed = vec![DVec3::Z];
    loop {
        let free = room(&placed, angle_rad);
        if free.is_empty() || free.arcs.is_empty() {
            return placed;
        }
        let arc = &free.arcs[dice.below(free.arcs.len())];
        placed.push(arc.at(0.0).normalize());
        for (index, a) in placed.iter().enumerate() {
            for b in &placed[..index] {
                assert!(a.angle_between(*b) >= angle_rad - 1e-6, "no room there");
            }
        }
    }
}

/// Smallest angle of the best spread of N points in degrees: Fejes Tóth 1943 (3, 4, 6, 12), Schütte & van der Waerden 1951 (5, 7, 8, 9), Danzer
/// 1963 (10, 11), Musin & Tarasov 2012 (13) and Exp. Math. 24 (2015) 460 (14).
const TAMMES: [(usize, f64); 12] = [
    (3, 120.0),
    (4, 109.471_220_6),
    (5, 90.0),
    (6, 90.0),
    (7, 77.869_542_2),
    (8, 74.858_492_2),
    (9, 70.528_779_4),
    (10, 66.146_822_0),
    (11, 63.434_948_8),
    (12, 63.434_948_8),
    (13, 57.136_703_1),
    (14, 55.670_570_0),
];

#[test]
fn tammes_bounds_are_never_exceeded() {
    let dice = &mut Dice::new(7);
    for (count, best_deg) in TAMMES {
        for trial in 0..300 {
            let most = spread(dice, (best_deg + 1e-5).to_radians()).len();
            assert!(most < count, "{most} points {best_deg}° apart in trial {trial}");
        }
    }
}

/// With a tenth of a degree less the best spread is found where putting points into pockets leads to it.
#[test]
fn best_spreads_are_found() {
    let dice = &mut Dice::new(8);
    for (count, best_deg) in TAMMES {
        let most = (0..300).map(|_| spread(dice, (best_deg - 0.1).to_radians()).len()).max();
        if count <= 12 {
            assert!(most >= Some(count), "only {most:?} of {count}");
        }
    }
}

/// Kissing number 12: equal shells touch a host 60° apart or more; a thirteenth never fits (Schütte & van der Waerden, Math. Ann. 125
/// (1953) 325), twelve can be placed.
#[test]
fn a_thirteenth_module_never_fits() {
    let dice = &mut Dice::new(9);
    let most = (0..2000).map(|_| spread(dice, 60.0_f64.to_radians()).len()).max();
    assert_eq!(most, Some(12));
}

/// Eleven corners of an icosahedron leave room for the twelfth, at its corner, as long as 63.43° are asked for.
#[test]
fn the_twelfth_corner_is_free() {
    let golden = 0.5 * (1.0 + 5.0_f64.sqrt());
    let mut corners = Vec::new();
    for (a, b) in [(-1.0, -golden), (-1.0, golden), (1.0, -golden), (1.0, golden)] {
        corners.extend(
            [DVec3::new(0.0, a, b), DVec3::new(a, b, 0.0), DVec3::new(b, 0.0, a)].map(DVec3::normalize),
        );
    }
    let last = corners.pop().expect("twelve");
    let best = (1.0 / 5.0_f64.sqrt()).acos();
    let free = room(&corners, best - 1e-4);
    assert!(free.area() > 0.0 && free.area() < 1e-6 && free.clearance(last) > 0.0, "{}", free.area());
    assert!(room(&corners, best + 1e-4).area() == 0.0);
}
