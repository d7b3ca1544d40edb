//! A set of cells enclosed by blocked cells: no module gets out or in.

use crate::math::DVec3;

/// Cubes of one size that together contain every place that a module's centre can reach from inside.
///
/// Cell `[i, j, k]` is the closed cube of side `cell_m` about `origin + cell_m·(i, j, k)`. Every cell that shares a face with one of them is another
/// of them, or lies wholly within a shell's radius of one solid, or above what the crew can climb. A path that left the cells would have a last point
/// on them, and that point would lie in such a cell.
#[derive(Clone, Debug, PartialEq)]
pub struct Enclosure {
    /// Centre of cell `[0, 0, 0]` in the world frame, in metres.
    pub origin: DVec3,
    /// Side of a cell, in metres.
    pub cell_m: f64,
    /// The cells, in ascending order.
    pub cells: Vec<[i32; 3]>,
}

impl Enclosure {
    /// Whether a place lies in one of the cells, or so near that rounding could put it there.
    #[must_use]
    pub fn holds(&self, place: DVec3) -> bool {
        self.around(place).any(|cell| self.cells.binary_search(&cell).is_ok())
    }

    /// The cells of the grid that a place lies in, or so near that rounding could put it there; among the enclosure's or not.
    pub(super) fn around(&self, place: DVec3) -> impl Iterator<Item = [i32; 3]> {
        const ROUNDING: f64 = 1e-3;
        let at = ((place - self.origin) / self.cell_m).to_array();
        // The cells whose centres are at most half a cell from the place, and a margin for rounding.
        let near = at.map(|v| (v - 0.5 - ROUNDING).ceil() as i32..=(v + 0.5 + ROUNDING).floor() as i32);
        let [x, y, z] = near;
        let columns = x.flat_map(move |i| y.clone().map(move |j| [i, j]));
        columns.flat_map(move |[i, j]| z.clone().map(move |k| [i, j, k]))
    }

    /// Centre of a cell in the world frame, in metres.
    #[must_use]
    pub fn centre(&self, cell: [i32; 3]) -> DVec3 {
        self.origin + DVec3::from(cell.map(f64::from)) * self.cell_m
    }
}

/// The cells that share a face with one.
pub(super) fn neighbours([i, j, k]: [i32; 3]) -> [[i32; 3]; 6] {
    [[i - 1, j, k], [i + 1, j, k], [i, j - 1, k], [i, j + 1, k], [i, j, k - 1], [i, j, k + 1]]
}
