//! Triangulates the plane between the arcs, and says on which side each triangle lies. Arcs that cross are found here.

use super::nodes::Drawn;
use super::{Border, Side};
use glam::DVec2;
use spade::handles::FixedVertexHandle;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};
use std::collections::{BTreeMap, BTreeSet};

/// Triangles between arcs.
pub(super) struct Triangles {
    pub(super) points: Vec<DVec2>,
    /// Corners, counter-clockwise.
    pub(super) corners: Vec<[u32; 3]>,
    /// The triangle across the edge that begins at each corner.
    pub(super) across: Vec<[Option<u32>; 3]>,
    sides: Vec<Side>,
}

/// The arcs that cross others, or lie on others.
type Crossing = BTreeSet<usize>;

pub(super) fn between(drawn: &Drawn) -> Result<Triangles, Crossing> {
    let mut mesh: ConstrainedDelaunayTriangulation<Point2<f64>> = ConstrainedDelaunayTriangulation::new();
    let mut handles: Vec<Vec<FixedVertexHandle>> = Vec::with_capacity(drawn.lines.len());
    for (arc, line) in drawn.lines.iter().enumerate() {
        let mut own = Vec::with_capacity(line.len());
        for p in line {
            match mesh.insert(Point2::new(p.x, p.y)) {
                Ok(handle) => own.push(handle),
                Err(_) => return Err(Crossing::from([arc])),
            }
        }
        handles.push(own);
    }
    // For each directed edge: its arc, and what lies on its left.
    let mut left_of: BTreeMap<(usize, usize), (usize, Side)> = BTreeMap::new();
    let mut crossing = Crossing::new();
    for (arc, own) in handles.iter().enumerate() {
        let [left, right] = drawn.sides[arc];
        for pair in own.windows(2).filter(|pair| pair[0] != pair[1]) {
            let edges = mesh.try_add_constraint(pair[0], pair[1]);
            if edges.is_empty() {
                crossing.insert(arc);
                for edge in mesh.get_conflicting_edges_between_vertices(pair[0], pair[1]) {
                    let ends = (edge.from().index(), edge.to().index());
                    crossing.extend(left_of.get(&ends).map(|(other, _)| *other));
                }
            }
            for edge in edges {
                let [from, to] = mesh.directed_edge(edge).vertices().map(|vertex| vertex.index());
                for (ends, side) in [((from, to), left), ((to, from), right)] {
                    if let Some((other, known)) = left_of.insert(ends, (arc, side))
                        && (known != side || other == arc)
                    {
                        crossing.extend([arc, other]);
                    }
                }
            }
        }
    }
    if crossing.is_empty() { labelled(&mesh, &left_of) } else { Err(crossing) }
}

fn labelled(
    mesh: &ConstrainedDelaunayTriangulation<Point2<f64>>,
    left_of: &BTreeMap<(usize, usize), (usize, Side)>,
) -> Result<Triangles, Crossing> {
    let points = mesh.vertices().map(|vertex| DVec2::new(vertex.position().x, vertex.position().y)).collect();
    let mut number: BTreeMap<usize, u32> = BTreeMap::new();
    for face in mesh.inner_faces() {
        number.insert(face.fix().index(), number.len() as u32);
    }
    let (mut corners, mut across) = (Vec::new(), Vec::new());
    for face in mesh.inner_faces() {
        let edges = face.adjacent_edges();
        corners.push(edges.map(|edge| edge.from().index() as u32));
        across.push(edges.map(|edge| edge.rev().face().as_inner().map(|face| number[&face.fix().index()])));
    }
    let mut sides: Vec<Option<(Side, usize)>> = vec![None; corners.len()];
    let known = |triangle: usize, i: usize| {
        let ring: [u32; 3] = corners[triangle];
        left_of.get(&(ring[i] as usize, ring[(i + 1) % 3] as usize))
    };
    let mut queue: Vec<usize> = Vec::new();
    for (triangle, place) in sides.iter_mut().enumerate() {
        for (arc, side) in (0..3).filter_map(|i| known(triangle, i)) {
            match *place {
                Some((other, first)) if other != *side => return Err(Crossing::from([*arc, first])),
                Some(_) => {}
                None => {
                    *place = Some((*side, *arc));
                    queue.push(triangle);
                }
            }
        }
    }
    while let Some(triangle) = queue.pop() {
        for i in (0..3).filter(|i| known(triangle, *i).is_none()) {
            let Some(other) = across[triangle][i].map(|other| other as usize) else { continue };
            match (sides[triangle], sides[other]) {
                (Some((own, arc)), Some((side, first))) if own != side => {
                    return Err(Crossing::from([arc, first]));
                }
                (_, Some(_)) => {}
                (own, None) => {
                    sides[other] = own;
                    queue.push(other);
                }
            }
        }
    }
    let sides = sides.into_iter().map(|side| side.and_then(|(side, _)| side)).collect();
    Ok(Triangles { points, corners, across, sides })
}

impl Triangles {
    /// The triangles of each surface.
    pub(super) fn by_side(&self, count: usize) -> Vec<Vec<u32>> {
        let mut found = vec![Vec::new(); count];
        for (triangle, side) in self.sides.iter().enumerate() {
            if let Some(number) = side {
                found[*number as usize].push(triangle as u32);
            }
        }
        found
    }

    /// The edges of each surface towards others.
    pub(super) fn borders(&self, count: usize) -> Vec<Vec<Border>> {
        let mut found = vec![Vec::new(); count];
        for (triangle, side) in self.sides.iter().enumerate() {
            let Some(number) = side else { continue };
            for i in 0..3 {
                let other = self.across[triangle][i].and_then(|other| self.sides[other as usize]);
                if other != *side {
                    let [from, to] =
                        [i, (i + 1) % 3].map(|i| self.points[self.corners[triangle][i] as usize]);
                    found[*number as usize].push(Border { from, to, beyond: other });
                }
            }
        }
        found
    }

    pub(super) fn area(&self, triangle: u32) -> f64 {
        let [a, b, c] = self.corners[triangle as usize].map(|corner| self.points[corner as usize]);
        0.5 * (b - a).perp_dot(c - a)
    }
}
