//! The strips between facets: cells on the way from one facet to the other, which fit neither. Each goes to the facet that is nearer in height, so
//! that an edge lies in the middle of its strip. What sticks out above both facets, or lies below both, is no edge.

use super::{Fit, Owner, Scale};
use crate::cells::Cells;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

pub(super) fn share_out(cells: &Cells, scale: &Scale, fit: &mut Fit) {
    let is_open = |cell: usize| fit.owners[cell] == Owner::Open;
    let depth = distances(cells, |cell| !is_open(cell), f64::INFINITY);
    // Opening, as in image processing: only what does not belong to anything thicker is a strip.
    let is_core = |cell: usize| is_open(cell) && depth[cell] > scale.edge;
    let to_core = distances(cells, is_core, scale.edge + cells.grain);
    let mut given: Vec<(usize, Owner)> = Vec::new();
    for cell in (0..cells.len()).filter(|cell| is_open(*cell)) {
        if to_core[cell] > scale.edge
            && let Some(owner) = nearer(cells, scale, fit, cell)
        {
            given.push((cell, owner));
        }
    }
    for (cell, owner) in given {
        fit.owners[cell] = owner;
        fit.shared_out[cell] = true;
    }
}

/// To which of the surfaces around it a cell of a strip goes.
fn nearer(cells: &Cells, scale: &Scale, fit: &Fit, cell: usize) -> Option<Owner> {
    let near = owners_near(cells, fit, cell, 2.0 * scale.edge + cells.grain);
    let stone = near.iter().find(|owner| matches!(owner, Owner::Stone(_)));
    let planes = near.iter().filter_map(|owner| match owner {
        Owner::Surface(number) => Some((*owner, fit.surfaces[*number as usize].plane)),
        _ => None,
    });
    let planes: Vec<_> = planes.collect();
    let is_between = cells.samples_of(cell).iter().all(|p| {
        let heights = planes.iter().map(|(_, plane)| plane.at(p.truncate()));
        let (low, high) =
            heights.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), z| (low.min(z), high.max(z)));
        let high = match stone {
            Some(Owner::Stone(number)) => {
                let ball = fit.stones[*number as usize];
                high.max(ball.centre.z + ball.radius)
            }
            _ => high,
        };
        (low - scale.tolerance..=high + scale.tolerance).contains(&p.z)
    });
    if !is_between {
        return None;
    }
    if let Some(stone) = stone {
        return Some(*stone);
    }
    let rated = planes.iter().map(|(owner, plane)| {
        let worst =
            cells.samples_of(cell).iter().map(|p| (p.z - plane.at(p.truncate())).abs()).fold(0.0, f64::max);
        (*owner, worst)
    });
    rated.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(owner, _)| owner)
}

/// The owners that are reached over open cells within a distance, in a fixed order.
fn owners_near(cells: &Cells, fit: &Fit, start: usize, reach: f64) -> Vec<Owner> {
    let mut seen: BTreeMap<usize, ()> = BTreeMap::from([(start, ())]);
    let (mut queue, mut found) = (vec![start], Vec::new());
    let mut next = 0;
    while next < queue.len() {
        for other in cells.beside(queue[next]) {
            if cells.centres[other].distance(cells.centres[start]) > reach || seen.insert(other, ()).is_some()
            {
                continue;
            }
            match fit.owners[other] {
                Owner::Open => queue.push(other),
                owner if !found.contains(&owner) => found.push(owner),
                _ => {}
            }
        }
        next += 1;
    }
    found
}

/// The way from each cell to the nearest cell of a set, from middle to middle, in metres; infinite beyond a limit.
fn distances(cells: &Cells, is_source: impl Fn(usize) -> bool, limit: f64) -> Vec<f64> {
    let mut found = vec![f64::INFINITY; cells.len()];
    // Nanometres as whole numbers have a total order.
    let mut heap: BinaryHeap<Reverse<(u64, usize)>> = BinaryHeap::new();
    for cell in (0..cells.len()).filter(|cell| is_source(*cell)) {
        found[cell] = 0.0;
        heap.push(Reverse((0, cell)));
    }
    while let Some(Reverse((way, cell))) = heap.pop() {
        if way as f64 * 1e-9 > found[cell] + 1e-9 {
            continue;
        }
        for other in cells.beside(cell) {
            let through = found[cell] + cells.centres[cell].distance(cells.centres[other]);
            if through < found[other] && through <= limit {
                found[other] = through;
                heap.push(Reverse(((through * 1e9) as u64, other)));
            }
        }
    }
    found
}
