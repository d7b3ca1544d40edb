//! Joins triangles to as few simple polygons as needed. A piece takes in a neighbour only if the neighbour brings a corner that the piece does
//! not have yet: so its border never meets itself, and around a hole two pieces form.

use super::triangles::Triangles;
use glam::DVec2;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// The polygons that the triangles of one surface make, the largest first triangle first.
pub(super) fn pieces(triangles: &Triangles, members: &[u32]) -> Vec<Vec<DVec2>> {
    let mut left: BTreeSet<u32> = members.iter().copied().collect();
    let mut order = members.to_vec();
    order.sort_by(|a, b| triangles.area(*b).total_cmp(&triangles.area(*a)).then(a.cmp(b)));
    let mut found = Vec::new();
    for seed in order {
        if left.remove(&seed) {
            let piece = grown(triangles, seed, &mut left);
            found.push(outline(triangles, &piece));
        }
    }
    found
}

fn grown(triangles: &Triangles, seed: u32, left: &mut BTreeSet<u32>) -> Vec<u32> {
    let mut corners: BTreeSet<u32> = triangles.corners[seed as usize].into_iter().collect();
    let (mut piece, mut queue) = (vec![seed], VecDeque::from([seed]));
    while let Some(triangle) = queue.pop_front() {
        for i in 0..3 {
            let Some(other) = triangles.across[triangle as usize][i].filter(|other| left.contains(other))
            else {
                continue;
            };
            let own =
                [triangles.corners[triangle as usize][i], triangles.corners[triangle as usize][(i + 1) % 3]];
            let Some(apex) =
                triangles.corners[other as usize].into_iter().find(|corner| !own.contains(corner))
            else {
                continue;
            };
            if corners.insert(apex) {
                left.remove(&other);
                piece.push(other);
                queue.push_back(other);
            }
        }
    }
    piece
}

/// The border of a piece, counter-clockwise from the corner with the least x, and the least y among those.
fn outline(triangles: &Triangles, piece: &[u32]) -> Vec<DVec2> {
    let members: BTreeSet<u32> = piece.iter().copied().collect();
    let mut next: BTreeMap<u32, u32> = BTreeMap::new();
    for triangle in piece {
        for i in 0..3 {
            // An edge within the piece is one across which it grew, or one between two of its triangles all the same.
            if triangles.across[*triangle as usize][i].is_none_or(|other| !members.contains(&other)) {
                next.insert(
                    triangles.corners[*triangle as usize][i],
                    triangles.corners[*triangle as usize][(i + 1) % 3],
                );
            }
        }
    }
    let Some((&first, _)) = next.first_key_value() else { return Vec::new() };
    let (mut ring, mut at) = (Vec::with_capacity(next.len()), first);
    while let Some(following) = next.remove(&at) {
        ring.push(triangles.points[at as usize]);
        at = following;
    }
    let least = (0..ring.len())
        .min_by(|a, b| ring[*a].x.total_cmp(&ring[*b].x).then(ring[*a].y.total_cmp(&ring[*b].y)));
    ring.rotate_left(least.unwrap_or(0));
    ring
}
