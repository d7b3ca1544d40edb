//! Outlines of areas that polygons cover together: hand-worked areas, and brute force over the single polygons.

use crate::support::{assert_near, fixed};
use clamber_core::unstable::geometry::surface::common;
use clamber_core::unstable::geometry::{Outline, Path, least_inset, stays_inside};
use clamber_core::{DVec2, DVec3};
use proptest::prelude::*;
use std::f64::consts::TAU;

type Polygon = Vec<DVec2>;

/// A rectangle by its low corner and its size.
fn block(x: f64, y: f64, wide: f64, deep: f64) -> Polygon {
    [[x, y], [x + wide, y], [x + wide, y + deep], [x, y + deep]].map(DVec2::from).to_vec()
}

fn outline(polygons: &[Polygon]) -> Outline {
    let parts: Vec<&[DVec2]> = polygons.iter().map(Vec::as_slice).collect();
    Outline::of_all(&parts)
}

/// Area by the shoelace formula; holes count negative because they run clockwise.
fn area(ring: &[DVec2]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    0.5 * ring.iter().zip(next).map(|(a, b)| a.perp_dot(*b)).sum::<f64>()
}

/// Area, number of rings and number of corners of what some polygons cover.
struct Covered {
    polygons: Vec<Polygon>,
    area: f64,
    corners: Vec<usize>,
}

/// Polygons along axes with what they cover, worked out by hand.
fn worked_by_hand() -> Vec<Covered> {
    let case = |polygons: &[Polygon], area, corners: &[usize]| Covered {
        polygons: polygons.to_vec(),
        area,
        corners: corners.to_vec(),
    };
    vec![
        // Alone.
        case(&[block(0.0, 0.0, 2.0, 1.0)], 2.0, &[4]),
        // Twice the same.
        case(&[block(0.0, 0.0, 2.0, 1.0), block(0.0, 0.0, 2.0, 1.0)], 2.0, &[4]),
        // A whole edge in common: the edges in line become one.
        case(&[block(0.0, 0.0, 2.0, 1.0), block(2.0, 0.0, 3.0, 1.0)], 5.0, &[4]),
        // Three in a row, listed out of order.
        case(&[block(0.0, 0.0, 1.0, 1.0), block(2.0, 0.0, 1.0, 1.0), block(1.0, 0.0, 1.0, 1.0)], 3.0, &[4]),
        // A part of an edge in common.
        case(&[block(0.0, 0.0, 2.0, 2.0), block(2.0, 0.5, 1.0, 1.0)], 5.0, &[8]),
        // An L: one edge in line, one not.
        case(&[block(0.0, 0.0, 1.0, 3.0), block(1.0, 0.0, 2.0, 1.0)], 5.0, &[6]),
        // A cross of two bars.
        case(&[block(-2.0, -0.5, 4.0, 1.0), block(-0.5, -2.0, 1.0, 4.0)], 7.0, &[12]),
        // One corner overlaps.
        case(&[block(0.0, 0.0, 2.0, 2.0), block(1.0, 1.0, 2.0, 2.0)], 7.0, &[8]),
        // One inside the other, also along its edge and in its corner.
        case(&[block(0.0, 0.0, 4.0, 4.0), block(1.0, 1.0, 1.0, 1.0)], 16.0, &[4]),
        case(&[block(1.0, 0.0, 1.0, 1.0), block(0.0, 0.0, 4.0, 4.0), block(3.0, 3.0, 1.0, 1.0)], 16.0, &[4]),
        // Four round a hole of one square metre.
        case(
            &[
                block(0.0, 0.0, 3.0, 1.0),
                block(0.0, 2.0, 3.0, 1.0),
                block(0.0, 1.0, 1.0, 1.0),
                block(2.0, 1.0, 1.0, 1.0),
            ],
            8.0,
            &[4, 4],
        ),
        // Apart.
        case(&[block(0.0, 0.0, 1.0, 1.0), block(2.0, 0.0, 1.0, 1.0)], 2.0, &[4, 4]),
        // A triangle on a square, its base the square's edge.
        case(
            &[block(0.0, 0.0, 2.0, 2.0), [[2.0, 2.0], [1.0, 3.0], [0.0, 2.0]].map(DVec2::from).to_vec()],
            5.0,
            &[5],
        ),
    ]
}

#[test]
fn areas_worked_by_hand() {
    // Whatever the angle: rounding differs, the area does not.
    for angle in [0.0, 0.1, 0.785, 1.0, 2.345, 4.0] {
        let turned = |p: &DVec2| DVec2::from_angle(angle).rotate(*p) + DVec2::new(3.7, -1.9);
        for (number, case) in worked_by_hand().iter().enumerate() {
            let polygons: Vec<Polygon> =
                case.polygons.iter().map(|polygon| polygon.iter().map(turned).collect()).collect();
            let found = outline(&polygons);
            let mut corners: Vec<usize> = found.rings.iter().map(Vec::len).collect();
            corners.sort_unstable();
            assert_eq!(corners, case.corners, "case {number} at {angle} rad: {found:?}");
            assert_near(found.rings.iter().map(|ring| area(ring)).sum(), case.area, 1e-5);
        }
    }
}

#[test]
fn a_hole_is_a_ring_that_runs_clockwise() {
    let around = &worked_by_hand()[10];
    let found = outline(&around.polygons);
    let mut areas: Vec<f64> = found.rings.iter().map(|ring| area(ring)).collect();
    areas.sort_by(f64::total_cmp);
    assert_near(areas[0], -1.0, 1e-9);
    assert_near(areas[1], 9.0, 1e-9);
    // The middle of the hole is 0.5 m outside, the middle of a side 0.5 m inside.
    assert_near(found.inset(DVec2::new(1.5, 1.5)), -0.5, 1e-9);
    assert_near(found.inset(DVec2::new(1.5, 0.5)), 0.5, 1e-9);
    assert!(!found.is_convex() && outline(&around.polygons[..1]).is_convex());
}

/// Two squares that meet at a corner: a point of the boundary that a foot cannot pass.
#[test]
fn a_corner_in_common_lets_nothing_through() {
    let found = outline(&[block(0.0, 0.0, 1.0, 1.0), block(1.0, 1.0, 1.0, 1.0)]);
    assert_near(found.rings.iter().map(|ring| area(ring)).sum(), 2.0, 1e-9);
    assert!(found.contains(DVec2::new(0.9, 0.9)) && found.contains(DVec2::new(1.1, 1.1)));
    assert!(!found.contains(DVec2::new(1.1, 0.9)) && !found.contains(DVec2::new(0.9, 1.1)));
    assert_near(found.inset(DVec2::ONE), 0.0, 1e-6);
}

/// A gap of less than a micrometre is no edge: a foot stands across it. One of 0.1 mm is.
#[test]
fn narrow_gaps_are_closed() {
    for (gap_m, inset) in [(0.0, 0.5), (0.9e-6, 0.5), (1e-4, -5e-5)] {
        let found = outline(&[block(0.0, 0.0, 1.0, 1.0), block(1.0 + gap_m, 0.0, 1.0, 1.0)]);
        assert_near(found.inset(DVec2::new(1.0 + 0.5 * gap_m, 0.5)), inset, 2e-6);
    }
}

/// Whether a polygon holds a point: by how often it winds around it.
fn holds(polygon: &[DVec2], p: DVec2) -> bool {
    let next = polygon.iter().cycle().skip(1);
    let turn: f64 = polygon.iter().zip(next).map(|(a, b)| (*a - p).angle_to(*b - p)).sum();
    turn.abs() > 0.5 * TAU
}

/// Points along the edges of some polygons that bound what they cover: just outside none of them goes on.
fn boundary(polygons: &[Polygon], step_m: f64) -> Vec<DVec2> {
    let mut found = Vec::new();
    for polygon in polygons {
        for (a, b) in polygon.iter().zip(polygon.iter().cycle().skip(1)) {
            let along = (*b - *a).normalize();
            let beyond = DVec2::new(along.y, -along.x) * 3e-6;
            let count = ((*b - *a).length() / step_m).ceil();
            let points = (0..=count as usize).map(|k| a.lerp(*b, k as f64 / count));
            found.extend(points.filter(|p| !polygons.iter().any(|other| holds(other, *p + beyond))));
        }
    }
    found
}

/// Rectangles on a grid, which share many edges, and triangles that share none.
fn polygons() -> impl Strategy<Value = Vec<Polygon>> {
    let on_grid = (0..6, 0..6, 1..4, 1..4)
        .prop_map(|(x, y, wide, deep)| [x, y, wide, deep].map(|n: i32| 0.25 * f64::from(n)))
        .prop_map(|[x, y, wide, deep]| block(x, y, wide, deep));
    let anywhere = (0.0..1.5, 0.0..1.5, 0.0..TAU, 0.2..0.7).prop_map(|(x, y, turn, size)| {
        let corner = |k: u8| DVec2::new(x, y) + DVec2::from_angle(turn + TAU / 3.0 * f64::from(k)) * size;
        (0..3).map(corner).collect()
    });
    let rectangles = prop::collection::vec(on_grid, 2..6);
    let triangles = prop::collection::vec(anywhere, 0..3);
    (rectangles, triangles, 0.0..TAU).prop_map(|(rectangles, triangles, angle)| {
        let all = rectangles.into_iter().chain(triangles);
        all.map(|polygon| polygon.into_iter().map(|p| DVec2::from_angle(angle).rotate(p)).collect()).collect()
    })
}

proptest! {
    #![proptest_config(fixed(300))]

    #[test]
    fn insets_are_those_of_the_single_polygons(polygons in polygons(), places in prop::collection::vec((-2.5..2.5_f64, -2.5..2.5_f64), 20)) {
        const STEP_M: f64 = 2e-3;
        let found = outline(&polygons);
        let boundary = boundary(&polygons, STEP_M);
        for (x, y) in places {
            let p = DVec2::new(x, y);
            let nearest = boundary.iter().map(|q| q.distance(p)).fold(f64::INFINITY, f64::min);
            let inset = found.inset(p);
            if nearest > STEP_M {
                prop_assert_eq!(inset > 0.0, polygons.iter().any(|polygon| holds(polygon, p)), "at {}", p);
            }
            prop_assert!(inset.abs() <= nearest + 1e-5, "inset {} at {}, and the boundary is {} away", inset, p, nearest);
            prop_assert!(nearest <= inset.abs() + STEP_M + 1e-5, "inset {} at {}, nothing nearer than {}", inset, p, nearest);
        }
    }
}

proptest! {
    #![proptest_config(fixed(400))]

    /// To compare every edge with the path alone gives the answer of the least inset over the path, away from the very limit.
    #[test]
    fn a_disc_stays_inside_where_the_least_inset_says_so(
        blocks in prop::collection::vec((-2.0..1.0, -2.0..1.0, 0.3..2.0, 0.3..2.0), 1..5),
        from in (-1.5..1.5, -1.5..1.5), step in (-1.5..1.5, -1.5..1.5), span in 0.1..6.0_f64,
        radius in 0.01..0.4_f64, round: bool,
    ) {
        let polygons: Vec<Polygon> = blocks.into_iter().map(|(x, y, wide, deep)| block(x, y, wide, deep)).collect();
        let area = outline(&polygons);
        let (from, step) = (DVec3::new(from.0, from.1, 0.0), DVec3::new(step.0, step.1, 0.0));
        let path = if round {
            Path::Arc { centre: from, cosine: step, sine: DVec3::Z.cross(step), span }
        } else {
            Path::Line { from, step }
        };
        let least = least_inset(&path, &area, radius).map_or(f64::INFINITY, |(least, _)| least);
        prop_assume!((least - radius).abs() > 1e-9);
        prop_assert_eq!(stays_inside(&path, &area, radius), least > radius);
    }

    /// Common parts of intervals hold exactly the parameters that both hold.
    #[test]
    fn common_parts_hold_what_both_hold(
        some in prop::collection::vec((0.0..TAU, 0.01..TAU), 0..3),
        others in prop::collection::vec((0.0..TAU, 0.01..TAU), 0..3),
        at in 0.0..TAU, ring: bool,
    ) {
        let holds = |list: &[(f64, f64)]| list.iter().any(|&(from, width)| {
            let after = if ring { (at - from).rem_euclid(TAU) } else { at - from };
            (0.0..=width).contains(&after)
        });
        prop_assert_eq!(holds(&common(&some, &others, TAU, ring)), holds(&some) && holds(&others));
    }
}
