//! The cone programme against a published problem: how far the centre of mass of a three-footed stance may be displaced.

use super::cone::Part;
use super::cone_program::{ConeProgram, Solution};
use crate::math::{DVec3, sin_cos};

/// Unknowns: three forces, and the displacement of the centre of mass along `direction`.
const UNKNOWNS: usize = 10;

/// Solutions of `rows · y = right` as a point and directions, by Gauss–Jordan elimination.
fn solve(mut rows: Vec<[f64; UNKNOWNS + 1]>) -> ([f64; UNKNOWNS], Vec<[f64; UNKNOWNS]>) {
    let mut pivots: Vec<usize> = Vec::new();
    for column in 0..UNKNOWNS {
        let done = pivots.len();
        let Some(best) =
            (done..rows.len()).max_by(|&a, &b| rows[a][column].abs().total_cmp(&rows[b][column].abs()))
        else {
            break;
        };
        if rows[best][column].abs() < 1e-9 {
            continue;
        }
        rows.swap(done, best);
        let scale = rows[done][column];
        rows[done].iter_mut().for_each(|v| *v /= scale);
        let pivot = rows[done];
        for (index, row) in rows.iter_mut().enumerate().filter(|(i, _)| *i != done) {
            assert_ne!(index, done);
            let factor = row[column];
            row.iter_mut().zip(&pivot).for_each(|(v, p)| *v -= factor * p);
        }
        pivots.push(column);
    }
    let mut point = [0.0; UNKNOWNS];
    pivots.iter().zip(&rows).for_each(|(&column, row)| point[column] = row[UNKNOWNS]);
    let free = (0..UNKNOWNS).filter(|c| !pivots.contains(c));
    let directions = free
        .map(|column| {
            let mut direction = [0.0; UNKNOWNS];
            direction[column] = 1.0;
            pivots.iter().zip(&rows).for_each(|(&pivot, row)| direction[pivot] = -row[column]);
            direction
        })
        .collect();
    (point, directions)
}

/// Largest reach of the centre of mass along ±x over three feet at unit radius, one of them on +x, each tilted inwards.
fn reach(tilt_deg: f64, friction: f64, direction: f64) -> f64 {
    let (sin, cos) = sin_cos(tilt_deg.to_radians());
    let feet: Vec<(DVec3, DVec3)> = [0.0_f64, 120.0, 240.0]
        .iter()
        .map(|azimuth| {
            let (y, x) = sin_cos(azimuth.to_radians());
            (DVec3::new(x, y, 0.0), DVec3::new(-sin * x, -sin * y, cos))
        })
        .collect();
    // The forces sum to one unit upwards, and the moments to those of that unit at (±reach, 0).
    let mut rows = vec![[0.0; UNKNOWNS + 1]; 6];
    rows[2][UNKNOWNS] = 1.0;
    for (foot, (place, _)) in feet.iter().enumerate() {
        for (k, axis) in [DVec3::X, DVec3::Y, DVec3::Z].into_iter().enumerate() {
            let moment = place.cross(axis);
            rows[k][3 * foot + k] = 1.0;
            rows[3][3 * foot + k] = moment.x;
            rows[4][3 * foot + k] = moment.y;
            rows[5][3 * foot + k] = moment.z;
        }
    }
    rows[4][UNKNOWNS - 1] = direction;
    let (point, directions) = solve(rows);
    let cone = |y: &[f64; UNKNOWNS], foot: usize| -> Part {
        let force = DVec3::new(y[3 * foot], y[3 * foot + 1], y[3 * foot + 2]);
        let normal = feet[foot].1;
        let first = normal.any_orthonormal_vector();
        [friction * force.dot(normal), force.dot(first), force.dot(normal.cross(first)), 0.0]
    };
    let mut programme = ConeProgram::new(directions.iter().map(|d| -d[UNKNOWNS - 1]).collect());
    for foot in 0..3 {
        let columns = directions.iter().map(|d| cone(d, foot).map(|v| -v)).enumerate();
        programme.push(cone(&point, foot), columns.collect::<Vec<_>>());
    }
    match programme.solve(f64::INFINITY, |_| false) {
        Solution::Optimal(w) => {
            point[UNKNOWNS - 1] + w.iter().zip(&directions).map(|(w, d)| w * d[UNKNOWNS - 1]).sum::<f64>()
        }
        other => panic!("{other:?}"),
    }
}

/// Method of Bretl & Lall, IEEE T-RO 24 (2008) 794, and Del Prete, Tonneau & Mansard, ICRA 2016; values computed with pyramids of 256 sides and more,
/// accurate to 2e-4. On flat ground the region would be the hull: 1 along a foot, 0.5 away from it.
#[test]
fn three_feet_tilted_inwards() {
    for (tilt, friction, along, away) in [(30.0, 0.5, 0.917_40, 0.500_00), (45.0, 0.2, 0.348_01, 0.311_01)] {
        assert!((reach(tilt, friction, 1.0) - along).abs() < 2e-4, "{}", reach(tilt, friction, 1.0));
        assert!((reach(tilt, friction, -1.0) - away).abs() < 2e-4, "{}", reach(tilt, friction, -1.0));
    }
}

/// On flat terrain the centre of mass must lie above the convex hull, for every friction (Bretl & Lall 2008).
#[test]
fn three_feet_on_flat_ground() {
    for friction in [0.1, 0.3, 1.0] {
        assert!((reach(0.0, friction, 1.0) - 1.0).abs() < 1e-8);
        assert!((reach(0.0, friction, -1.0) - 0.5).abs() < 1e-8);
    }
}
