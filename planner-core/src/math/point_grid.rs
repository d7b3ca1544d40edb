//! A grid over points, to find those near a place without visiting all.

use super::DVec3;
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;

/// Points in cubic cells. Queries return cells in a fixed order, and the points of a cell in the order of insertion, so that nothing depends on
/// hashing.
#[derive(Clone, Debug)]
pub(crate) struct PointGrid {
    cell: f64,
    cells: IndexMap<[i64; 3], Vec<usize>, FxBuildHasher>,
}

impl PointGrid {
    /// A grid whose queries of up to `reach` metres visit 27 cells.
    #[must_use]
    pub(crate) fn new(reach: f64, points: impl IntoIterator<Item = DVec3>) -> Self {
        let mut grid = Self { cell: reach.max(f64::MIN_POSITIVE), cells: IndexMap::default() };
        for (index, point) in points.into_iter().enumerate() {
            grid.insert(index, point);
        }
        grid
    }

    /// Indices of all points in the cells around a place: everything within reach, and some more.
    pub(crate) fn near(&self, place: DVec3) -> impl Iterator<Item = usize> + '_ {
        let [x, y, z] = self.key(place);
        self.between([x - 1, y - 1, z - 1], [x + 1, y + 1, z + 1])
    }

    /// The same for a reach much shorter than a cell: it visits one cell, or a few where the place is at its border.
    pub(crate) fn within(&self, place: DVec3, reach: f64) -> impl Iterator<Item = usize> + '_ {
        let aside = DVec3::splat(reach);
        self.between(self.key(place - aside), self.key(place + aside))
    }

    /// All points in a block of cells.
    fn between(&self, low: [i64; 3], high: [i64; 3]) -> impl Iterator<Item = usize> + '_ {
        let steps = move |axis: usize| low[axis]..=high[axis];
        steps(0)
            .flat_map(move |x| steps(1).flat_map(move |y| steps(2).map(move |z| [x, y, z])))
            .filter_map(|key| self.cells.get(&key))
            .flatten()
            .copied()
    }

    /// Adds a point.
    pub(crate) fn insert(&mut self, index: usize, point: DVec3) {
        let key = self.key(point);
        self.cells.entry(key).or_default().push(index);
    }

    /// Moves a point.
    pub(crate) fn shift(&mut self, index: usize, from: DVec3, to: DVec3) {
        let (old, new) = (self.key(from), self.key(to));
        if let Some(cell) = self.cells.get_mut(&old) {
            cell.retain(|&i| i != index);
        }
        self.cells.entry(new).or_default().push(index);
    }

    fn key(&self, point: DVec3) -> [i64; 3] {
        [point.x, point.y, point.z].map(|v| (v / self.cell).floor() as i64)
    }
}
