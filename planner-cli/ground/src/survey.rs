//! What a survey file holds, in metres with z up.

use glam::DVec3;

/// The content of a survey file.
#[derive(Clone, Debug, PartialEq)]
pub enum Survey {
    /// Heights on a regular grid.
    Grid(HeightGrid),
    /// A triangle mesh.
    Mesh {
        /// The corners.
        points: Vec<DVec3>,
        /// Triples of indices of corners, counter-clockwise seen from outside.
        triangles: Vec<[u32; 3]>,
    },
    /// Points without order.
    Cloud(Vec<DVec3>),
}

/// Heights on a regular grid of square cells; each height belongs to the middle of its cell.
#[derive(Clone, Debug, PartialEq)]
pub struct HeightGrid {
    /// Cells along x.
    pub columns: usize,
    /// Cells along y.
    pub rows: usize,
    /// x and y of the lower left corner of the lower left cell, in metres.
    pub corner: [f64; 2],
    /// The width of a cell, in metres.
    pub cell: f64,
    /// Row after row from the lowest y, in metres; NaN where there are no data.
    pub heights: Vec<f64>,
}

impl Survey {
    /// The form in a word.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Grid(_) => "height grid",
            Self::Mesh { .. } => "mesh",
            Self::Cloud(_) => "point cloud",
        }
    }
}
