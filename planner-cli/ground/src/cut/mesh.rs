//! The triangles of a mesh as cells, seen from above.

use super::mend::{Mended, mend};
use crate::cells::{Cells, NONE};
use crate::error::SurveyError;
use crate::words::were;
use glam::{DVec2, DVec3};
use std::collections::BTreeMap;

/// Steeper than this, as the height of the unit normal, nobody can stand: 60°.
const STEEP: f64 = 0.5;
/// Below this, as the height of the unit normal, a triangle is a wall that has no area seen from above.
const UPRIGHT: f64 = 1e-3;
/// Corners nearer to each other than this seen from above, in metres, are one; those as near to an edge lie on it.
const ON_EDGE_M: f64 = 2e-5;

pub(super) fn of_mesh(
    points: &[DVec3],
    triangles: &[[u32; 3]],
    notes: &mut Vec<String>,
) -> Result<Cells, SurveyError> {
    let mesh = mend(points, triangles, notes);
    let (mut shown, mut walls, mut undersides) = (Vec::new(), 0, 0);
    for triangle in &mesh.triangles {
        let up = mesh.normal(*triangle).normalize_or_zero().z;
        if up > UPRIGHT {
            shown.push((*triangle, up < STEEP));
        } else if up < -UPRIGHT {
            undersides += 1;
        } else {
            walls += 1;
        }
    }
    if walls > 0 {
        notes.push(format!("{} taken as the side of a step: upright", were(walls, "triangle")));
    }
    if undersides > 0 {
        notes.push(
            format!("{} left out: it faces down", were(undersides, "triangle"))
                .replace("it faces", if undersides == 1 { "it faces" } else { "they face" }),
        );
    }
    seen_from_above(&mesh, &shown)
}

fn seen_from_above(mesh: &Mended, shown: &[([u32; 3], bool)]) -> Result<Cells, SurveyError> {
    let (corners, number) = corners_from_above(mesh);
    let mut rings: Vec<Vec<u32>> = Vec::with_capacity(shown.len());
    let mut members: Vec<([u32; 3], bool)> = Vec::with_capacity(shown.len());
    for (triangle, steep) in shown {
        let ring = triangle.map(|corner| number[corner as usize]);
        if ring[0] != ring[1] && ring[1] != ring[2] && ring[2] != ring[0] {
            rings.push(ring.to_vec());
            members.push((*triangle, *steep));
        }
    }
    let lone: Vec<(usize, u32, u32)> = {
        let owners = owners(&corners, &rings)?;
        edges(&rings).filter(|(_, from, to)| !owners.contains_key(&(*to, *from))).collect()
    };
    let index = Buckets::over(&corners);
    for (cell, from, to) in lone {
        let on = index.on_edge(&corners, from, to);
        if !on.is_empty() {
            let at = rings[cell].iter().position(|corner| *corner == from).unwrap_or(0) + 1;
            rings[cell].splice(at..at, on);
        }
    }
    let owners = owners(&corners, &rings)?;
    let mut cells = Cells::new(corners, 0.0);
    for (ring, (triangle, steep)) in rings.iter().zip(&members) {
        cells.push(ring, &mesh.corners(*triangle), *steep);
    }
    let across =
        edges(&rings).map(|(_, from, to)| owners.get(&(to, from)).copied().unwrap_or(NONE)).collect();
    cells.set_neighbours(across);
    no_overlap(&cells)?;
    Ok(cells)
}

fn edges(rings: &[Vec<u32>]) -> impl Iterator<Item = (usize, u32, u32)> + '_ {
    rings
        .iter()
        .enumerate()
        .flat_map(|(cell, ring)| (0..ring.len()).map(move |i| (cell, ring[i], ring[(i + 1) % ring.len()])))
}

/// The cell to the left of each edge.
fn owners(corners: &[DVec2], rings: &[Vec<u32>]) -> Result<BTreeMap<(u32, u32), u32>, SurveyError> {
    let mut owners = BTreeMap::new();
    for (cell, from, to) in edges(rings) {
        if owners.insert((from, to), cell as u32).is_some() {
            return Err(overlap(0.5 * (corners[from as usize] + corners[to as usize])));
        }
    }
    Ok(owners)
}

fn overlap(at: DVec2) -> SurveyError {
    SurveyError::new(
        "mesh",
        format!("two surfaces lie above each other at x {:.3}, y {:.3} m", at.x, at.y),
        "one surface that can be seen from above is allowed",
        "cut off what hangs above with --ceiling, or take the topmost surface on squares with --cell",
    )
}

/// Corners as seen from above, and which of them each corner of the mesh is: those of an upright wall coincide.
fn corners_from_above(mesh: &Mended) -> (Vec<DVec2>, Vec<u32>) {
    let mut found: Vec<DVec2> = Vec::new();
    let mut known: BTreeMap<[i64; 2], u32> = BTreeMap::new();
    let number = mesh
        .points
        .iter()
        .map(|p| {
            let p = p.truncate();
            let key = (p / ON_EDGE_M).round().to_array().map(|v| v as i64);
            // A corner just beyond the border between two squares of the lattice is found in the next one.
            let near =
                (-1..=1).flat_map(|x| (-1..=1).map(move |y| [key[0] + x, key[1] + y])).find_map(|key| {
                    known.get(&key).copied().filter(|other| found[*other as usize].distance(p) <= ON_EDGE_M)
                });
            near.unwrap_or_else(|| {
                found.push(p);
                known.insert(key, found.len() as u32 - 1);
                found.len() as u32 - 1
            })
        })
        .collect();
    (found, number)
}

/// Corners sorted into squares.
struct Buckets {
    low: DVec2,
    width: f64,
    columns: usize,
    rows: usize,
    members: Vec<Vec<u32>>,
}

impl Buckets {
    fn over(points: &[DVec2]) -> Self {
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let (low, high) = points.iter().fold(none, |(low, high), p| (low.min(*p), high.max(*p)));
        let size = (high - low).max(DVec2::splat(1e-6));
        let width = (size.x * size.y / points.len().max(1) as f64).sqrt().max(size.max_element() / 2000.0);
        let columns = (size.x / width) as usize + 1;
        let rows = (size.y / width) as usize + 1;
        let mut buckets = Self { low, width, columns, rows, members: vec![Vec::new(); columns * rows] };
        for (index, p) in points.iter().enumerate() {
            let [x, y] = buckets.square(*p);
            buckets.members[y * columns + x].push(index as u32);
        }
        buckets
    }

    fn square(&self, p: DVec2) -> [usize; 2] {
        let at = ((p - self.low) / self.width).max(DVec2::ZERO);
        [(at.x as usize).min(self.columns - 1), (at.y as usize).min(self.rows - 1)]
    }

    /// The corners on an edge between its ends, in order.
    fn on_edge(&self, corners: &[DVec2], from: u32, to: u32) -> Vec<u32> {
        let (a, b) = (corners[from as usize], corners[to as usize]);
        let length = a.distance(b);
        let along = (b - a) / length;
        let [x0, y0] = self.square(a.min(b) - ON_EDGE_M);
        let [x1, y1] = self.square(a.max(b) + ON_EDGE_M);
        let mut found: Vec<(f64, u32)> = Vec::new();
        for corner in (y0..=y1)
            .flat_map(|y| (x0..=x1).map(move |x| (x, y)))
            .flat_map(|(x, y)| &self.members[y * self.columns + x])
        {
            let p = corners[*corner as usize] - a;
            let t = p.dot(along);
            if *corner != from
                && *corner != to
                && t > 0.0
                && t < length
                && along.perp_dot(p).abs() <= ON_EDGE_M
            {
                found.push((t, *corner));
            }
        }
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().map(|(_, corner)| corner).collect()
    }
}

/// Refuses a mesh in which the middle of a cell lies within another one.
fn no_overlap(cells: &Cells) -> Result<(), SurveyError> {
    let index = Buckets::over(&cells.centres);
    for cell in 0..cells.len() {
        let ring: Vec<DVec2> =
            cells.loop_of(cell).iter().map(|corner| cells.corners[*corner as usize]).collect();
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let (low, high) = ring.iter().fold(none, |(low, high), p| (low.min(*p), high.max(*p)));
        let ([x0, y0], [x1, y1]) = (index.square(low), index.square(high));
        for other in (y0..=y1)
            .flat_map(|y| (x0..=x1).map(move |x| (x, y)))
            .flat_map(|(x, y)| &index.members[y * index.columns + x])
        {
            let p = cells.centres[*other as usize];
            let inside = (0..ring.len()).all(|i| {
                let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
                (b - a).perp_dot(p - a) > ON_EDGE_M * a.distance(b)
            });
            if *other as usize != cell && inside {
                return Err(overlap(p));
            }
        }
    }
    Ok(())
}
