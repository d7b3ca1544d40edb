//! Mends a mesh: joins corners, leaves out triangles that are none, and turns those that are the wrong way round.

use crate::words::were;
use glam::DVec3;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// Corners nearer to each other than this, in metres, are one.
pub(super) const JOINED_M: f64 = 1e-6;
/// Triangles lower than this, in metres, are slivers: their slope is nothing but rounding.
const SLIVER_M: f64 = 1e-5;

/// A mesh whose corners are joined and whose triangles face outwards.
pub(super) struct Mended {
    pub(super) points: Vec<DVec3>,
    pub(super) triangles: Vec<[u32; 3]>,
}

pub(super) fn mend(points: &[DVec3], triangles: &[[u32; 3]], notes: &mut Vec<String>) -> Mended {
    let mut mended = joined(points, triangles);
    let mut note = |count: usize, noun: &str, what: &str| {
        if count > 0 {
            notes.push(format!("{} {what}", were(count, noun)));
        }
    };
    let before = mended.triangles.len();
    mended.leave_out_slivers();
    let after = mended.triangles.len();
    note(before - after, "triangle", "left out as slivers, less than 0.01 mm high");
    mended.leave_out_doubles();
    note(after - mended.triangles.len(), "triangle", "left out because another has the same corners");
    let (turned, forked) = mended.turn();
    note(turned, "triangle", "turned: the winding did not fit that of the others");
    note(forked, "edge", "found where more than two triangles meet");
    mended
}

/// Joins corners on a fine lattice; those of a triangle mesh are either the same numbers or well apart.
fn joined(points: &[DVec3], triangles: &[[u32; 3]]) -> Mended {
    let mut number: BTreeMap<[i64; 3], u32> = BTreeMap::new();
    let mut kept = Vec::new();
    let new: Vec<u32> = points
        .iter()
        .map(|p| {
            let key = (*p / JOINED_M).round().to_array().map(|v| v as i64);
            *number.entry(key).or_insert_with(|| {
                kept.push(*p);
                kept.len() as u32 - 1
            })
        })
        .collect();
    let triangles = triangles.iter().map(|triangle| triangle.map(|corner| new[corner as usize])).collect();
    Mended { points: kept, triangles }
}

impl Mended {
    pub(super) fn corners(&self, triangle: [u32; 3]) -> [DVec3; 3] {
        triangle.map(|corner| self.points[corner as usize])
    }

    /// Twice the area, along the normal.
    pub(super) fn normal(&self, triangle: [u32; 3]) -> DVec3 {
        let [a, b, c] = self.corners(triangle);
        (b - a).cross(c - a)
    }

    fn leave_out_slivers(&mut self) {
        let fits = |triangle: &[u32; 3]| {
            let [a, b, c] = self.corners(*triangle);
            let longest = a.distance(b).max(b.distance(c)).max(c.distance(a));
            self.normal(*triangle).length() >= SLIVER_M * longest && longest > 0.0
        };
        let kept = self.triangles.iter().copied().filter(fits).collect();
        self.triangles = kept;
    }

    fn leave_out_doubles(&mut self) {
        let mut seen = std::collections::BTreeSet::new();
        self.triangles.retain(|triangle| {
            let mut key = *triangle;
            key.sort_unstable();
            seen.insert(key)
        });
    }

    /// Turns triangles so that those that share an edge run along it in opposite directions, and whole pieces so that they face up (open ones) or
    /// outwards (closed ones). Returns how many were turned and how many edges belong to more than two triangles.
    fn turn(&mut self) -> (usize, usize) {
        let mut edges: BTreeMap<(u32, u32), Vec<usize>> = BTreeMap::new();
        for (index, [a, b, c]) in self.triangles.iter().copied().enumerate() {
            for (from, to) in [(a, b), (b, c), (c, a)] {
                match edges.entry((from.min(to), from.max(to))) {
                    Entry::Vacant(entry) => drop(entry.insert(vec![index])),
                    Entry::Occupied(mut entry) => entry.get_mut().push(index),
                }
            }
        }
        let forked = edges.values().filter(|members| members.len() > 2).count();
        let runs = |triangle: [u32; 3], from: u32, to: u32| {
            (0..3).any(|i| triangle[i] == from && triangle[(i + 1) % 3] == to)
        };
        let mut flip: Vec<Option<bool>> = vec![None; self.triangles.len()];
        for start in 0..self.triangles.len() {
            if flip[start].is_some() {
                continue;
            }
            flip[start] = Some(false);
            let (mut piece, mut next, mut closed) = (vec![start], 0, true);
            while next < piece.len() {
                let (own, flipped) = (piece[next], flip[piece[next]] == Some(true));
                next += 1;
                let [a, b, c] = self.triangles[own];
                for (from, to) in [(a, b), (b, c), (c, a)] {
                    let members = &edges[&(from.min(to), from.max(to))];
                    closed &= members.len() != 1;
                    let &[first, second] = &members[..] else { continue };
                    let other = if first == own { second } else { first };
                    if flip[other].is_none() {
                        // Neighbours that agree run along their edge in opposite directions.
                        flip[other] = Some(flipped != runs(self.triangles[other], from, to));
                        piece.push(other);
                    }
                }
            }
            let signed = |index: usize, value: f64| if flip[index] == Some(true) { -value } else { value };
            let outward: f64 = piece
                .iter()
                .map(|&index| {
                    let normal = self.normal(self.triangles[index]);
                    let volume = normal.dot(self.corners(self.triangles[index])[0] - self.points[0]);
                    signed(index, if closed { volume } else { normal.z })
                })
                .sum();
            if outward < 0.0 {
                for index in piece {
                    flip[index] = flip[index].map(|flipped| !flipped);
                }
            }
        }
        let mut turned = 0;
        for (triangle, flipped) in self.triangles.iter_mut().zip(flip) {
            if flipped == Some(true) {
                triangle.swap(1, 2);
                turned += 1;
            }
        }
        (turned, forked)
    }
}
