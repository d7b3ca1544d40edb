//! The ground seen from above, cut into cells: the squares of a grid or the triangles of a mesh.

use glam::{DVec2, DVec3};

/// No cell.
pub(crate) const NONE: u32 = u32::MAX;

/// Cells that share corners, with the surveyed points of each. Cells do not overlap.
#[derive(Clone, Debug, Default)]
pub(crate) struct Cells {
    /// Corners seen from above.
    pub(crate) corners: Vec<DVec2>,
    loop_starts: Vec<u32>,
    loops: Vec<u32>,
    across: Vec<u32>,
    sample_starts: Vec<u32>,
    samples: Vec<DVec3>,
    /// The middle of each cell.
    pub(crate) centres: Vec<DVec2>,
    /// The area of each cell seen from above.
    pub(crate) areas: Vec<f64>,
    /// Cells that are too steep to stand on.
    pub(crate) steep: Vec<bool>,
    /// Within this much, in metres, edges are known: the width of a cell of a grid, 0 for a mesh.
    pub(crate) grain: f64,
}

impl Cells {
    pub(crate) fn new(corners: Vec<DVec2>, grain: f64) -> Self {
        Self { corners, loop_starts: vec![0], sample_starts: vec![0], grain, ..Self::default() }
    }

    /// Adds a cell: its corners counter-clockwise, and its surveyed points.
    pub(crate) fn push(&mut self, corners: &[u32], samples: &[DVec3], steep: bool) {
        let place = |i: usize| self.corners[corners[i % corners.len()] as usize];
        // The centroid of a polygon, about its first corner.
        let (mut area, mut moment) = (0.0, DVec2::ZERO);
        for i in 1..corners.len().saturating_sub(1) {
            let (a, b) = (place(i) - place(0), place(i + 1) - place(0));
            let double = a.perp_dot(b);
            area += 0.5 * double;
            moment += (a + b) * (double / 6.0);
        }
        let centre = if area > 0.0 { place(0) + moment / area } else { place(0) };
        self.centres.push(centre);
        self.areas.push(area);
        self.steep.push(steep);
        self.loops.extend_from_slice(corners);
        self.loop_starts.push(self.loops.len() as u32);
        self.samples.extend_from_slice(samples);
        self.sample_starts.push(self.samples.len() as u32);
    }

    /// Says which cell lies across each edge: `across[i]` belongs to the edge that begins with the i-th corner of all cells in order.
    pub(crate) fn set_neighbours(&mut self, across: Vec<u32>) {
        debug_assert_eq!(across.len(), self.loops.len());
        self.across = across;
    }

    pub(crate) fn len(&self) -> usize {
        self.areas.len()
    }

    pub(crate) fn loop_of(&self, cell: usize) -> &[u32] {
        &self.loops[self.loop_starts[cell] as usize..self.loop_starts[cell + 1] as usize]
    }

    pub(crate) fn samples_of(&self, cell: usize) -> &[DVec3] {
        &self.samples[self.sample_starts[cell] as usize..self.sample_starts[cell + 1] as usize]
    }

    /// What each surveyed point of a cell counts: together they count as the cell's area.
    pub(crate) fn weight_in(&self, cell: usize) -> f64 {
        self.areas[cell] / self.samples_of(cell).len() as f64
    }

    /// Each edge of a cell as its two corners and the cell across it, or [`NONE`].
    pub(crate) fn edges_of(&self, cell: usize) -> impl Iterator<Item = (u32, u32, u32)> + '_ {
        let corners = self.loop_of(cell);
        let across = &self.across[self.loop_starts[cell] as usize..];
        (0..corners.len()).map(move |i| (corners[i], corners[(i + 1) % corners.len()], across[i]))
    }

    /// The cells beside a cell.
    pub(crate) fn beside(&self, cell: usize) -> impl Iterator<Item = usize> + '_ {
        let corners = self.loop_starts[cell] as usize..self.loop_starts[cell + 1] as usize;
        self.across[corners].iter().filter(|other| **other != NONE).map(|other| *other as usize)
    }
}
