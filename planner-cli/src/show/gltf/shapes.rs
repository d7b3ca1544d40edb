//! Shapes as triangles, counter-clockwise seen from outside.

use clamber_core::DVec3;
use earcut::Earcut;

/// Corners with normals, and triangles of them.
#[derive(Default)]
pub(super) struct Shape {
    pub(super) corners: Vec<[f32; 3]>,
    pub(super) normals: Vec<[f32; 3]>,
    pub(super) triangles: Vec<u32>,
}

impl Shape {
    /// A surface of revolution about z: a profile of `(radius, z, normal outwards, normal upwards)` from the bottom up.
    pub(super) fn turned(profile: &[(f64, f64, f64, f64)], around: u32) -> Self {
        let mut shape = Self::default();
        for &(radius, z, outwards, upwards) in profile {
            for k in 0..=around {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / f64::from(around)).sin_cos();
                shape.corners.push([radius * cos, radius * sin, z].map(|v| v as f32));
                shape.normals.push([outwards * cos, outwards * sin, upwards].map(|v| v as f32));
            }
        }
        let ring = around + 1;
        for (row, pair) in (0_u32..).zip(profile.windows(2)) {
            for k in 0..around {
                let (a, b) = (row * ring + k, row * ring + k + 1);
                let (c, d) = (a + ring, b + ring);
                if pair[0].0 > 0.0 {
                    shape.triangles.extend([a, b, d]);
                }
                if pair[1].0 > 0.0 {
                    shape.triangles.extend([a, d, c]);
                }
            }
        }
        shape
    }

    pub(super) fn ball(radius: f64) -> Self {
        const ROWS: u32 = 24;
        let profile: Vec<_> = (0..=ROWS)
            .map(|row| {
                let (sin, cos) = (std::f64::consts::PI * f64::from(row) / f64::from(ROWS)).sin_cos();
                let out = if row == 0 || row == ROWS { 0.0 } else { sin };
                (radius * out, -radius * cos, out, -cos)
            })
            .collect();
        Self::turned(&profile, 2 * ROWS)
    }

    pub(super) fn block(centre: [f64; 3], size: [f64; 3]) -> Self {
        let [x, y, z] = centre;
        let [dx, dy, dz] = size.map(|v| 0.5 * v);
        let outline = [[x - dx, y - dy], [x + dx, y - dy], [x + dx, y + dy], [x - dx, y + dy]];
        Self::prism(&outline, z - dz, &[z + dz; 4])
    }

    /// A vertical prism over a simple counter-clockwise outline, with the height of the top at each corner.
    pub(super) fn prism(outline: &[[f64; 2]], bottom: f64, tops: &[f64]) -> Self {
        let mut shape = Self::default();
        let mut face = Vec::new();
        Earcut::new().earcut(outline.iter().copied(), &[], &mut face);
        let bottoms = vec![bottom; outline.len()];
        for (heights, up) in [(tops, 1.0), (&bottoms[..], -1.0)] {
            let first = shape.corners.len() as u32;
            let corners: Vec<DVec3> =
                outline.iter().zip(heights).map(|([x, y], z)| DVec3::new(*x, *y, *z)).collect();
            // Newell's method for the normal of a plane polygon; the outline is counter-clockwise.
            let around = corners.iter().zip(corners.iter().cycle().skip(1)).map(|(a, b)| a.cross(*b));
            let normal = around.sum::<DVec3>().normalize() * up;
            shape.corners.extend(corners.iter().map(|p| p.to_array().map(|v| v as f32)));
            shape.normals.extend(outline.iter().map(|_| normal.to_array().map(|v| v as f32)));
            for corners in face.chunks_exact(3) {
                let [a, b, c] = [corners[0], corners[1], corners[2]].map(|k: u32| k);
                let turns_left = turns_left(outline, [a, b, c]) == (up > 0.0);
                let [b, c] = if turns_left { [b, c] } else { [c, b] };
                shape.triangles.extend([a, b, c].map(|k| first + k));
            }
        }
        for (index, a) in outline.iter().enumerate() {
            let next = (index + 1) % outline.len();
            let b = &outline[next];
            let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
            let length = dx.hypot(dy);
            let first = shape.corners.len() as u32;
            for (p, z) in [(a, bottom), (b, bottom), (b, tops[next]), (a, tops[index])] {
                shape.corners.push([p[0], p[1], z].map(|v| v as f32));
                shape.normals.push([dy / length, -dx / length, 0.0].map(|v| v as f32));
            }
            shape.triangles.extend([0, 1, 2, 0, 2, 3].map(|k| first + k));
        }
        shape
    }

    /// Both shapes as one.
    pub(super) fn and(mut self, other: Self) -> Self {
        let first = self.corners.len() as u32;
        self.corners.extend(other.corners);
        self.normals.extend(other.normals);
        self.triangles.extend(other.triangles.iter().map(|k| first + k));
        self
    }
}

fn turns_left(outline: &[[f64; 2]], [a, b, c]: [u32; 3]) -> bool {
    let [a, b, c] = [a, b, c].map(|k| outline[k as usize]);
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) > 0.0
}
