//! Arcs: the borders between two sides, from one junction to the next, along the edges of cells.

use super::Side;
use crate::cells::{Cells, NONE};
use std::collections::BTreeMap;

/// A border between two sides.
#[derive(Clone, Debug)]
pub(super) struct Arc {
    /// Corners of cells, in order; a closed arc ends where it begins.
    pub(super) corners: Vec<u32>,
    pub(super) left: Side,
    pub(super) right: Side,
    /// Whether most of it runs through a strip between facets, so that its cells say only roughly where it is.
    pub(super) is_rough: bool,
}

impl Arc {
    pub(super) fn is_closed(&self) -> bool {
        self.corners.first() == self.corners.last()
    }
}

struct Edge {
    from: u32,
    to: u32,
    left: Side,
    right: Side,
    is_rough: bool,
}

/// All arcs. Where more than two edges meet, or the sides change, arcs end.
pub(super) fn between(cells: &Cells, sides: &[Side], rough: &[bool]) -> Vec<Arc> {
    let edges = edges(cells, sides, rough);
    let mut at: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (index, edge) in edges.iter().enumerate() {
        at.entry(edge.from).or_default().push(index);
        at.entry(edge.to).or_default().push(index);
    }
    let pair = |index: usize| {
        let Edge { left, right, .. } = edges[index];
        (left.min(right), left.max(right))
    };
    let goes_on = |corner: u32| matches!(at[&corner][..], [a, b] if a != b && pair(a) == pair(b));
    let mut used = vec![false; edges.len()];
    let mut arcs = Vec::new();
    let mut follow = |start: u32, first: usize, used: &mut Vec<bool>| {
        let forwards = edges[first].from == start;
        let Edge { left, right, .. } = edges[first];
        let (left, right) = if forwards { (left, right) } else { (right, left) };
        let (mut corners, mut edge, mut rough) = (vec![start], first, 0);
        loop {
            used[edge] = true;
            rough += usize::from(edges[edge].is_rough);
            let here = corners[corners.len() - 1];
            let next = if edges[edge].from == here { edges[edge].to } else { edges[edge].from };
            corners.push(next);
            if next == start || !goes_on(next) {
                break;
            }
            match at[&next].iter().find(|other| !used[**other]) {
                Some(other) => edge = *other,
                None => break,
            }
        }
        let is_rough = 2 * rough >= corners.len();
        arcs.push(Arc { corners, left, right, is_rough });
    };
    for (corner, list) in at.iter().filter(|(corner, _)| !goes_on(**corner)) {
        for &edge in list {
            if !used[edge] {
                follow(*corner, edge, &mut used);
            }
        }
    }
    // What is left are closed lines without junctions.
    for index in 0..edges.len() {
        if !used[index] {
            follow(edges[index].from, index, &mut used);
        }
    }
    arcs
}

fn edges(cells: &Cells, sides: &[Side], rough: &[bool]) -> Vec<Edge> {
    let mut found = Vec::new();
    for (cell, &left) in sides.iter().enumerate() {
        for (from, to, across) in cells.edges_of(cell) {
            let right = if across == NONE { None } else { sides[across as usize] };
            // An edge between two cells is seen from both; that between a cell and nothing only once.
            let is_first = across == NONE || cell < across as usize;
            if left != right && is_first {
                let is_rough = rough[cell] || (across != NONE && rough[across as usize]);
                found.push(Edge { from, to, left, right, is_rough });
            }
        }
    }
    found
}
