//! A grid over the ground: what lies near a place is found without looking at everything.

use super::DVec3;
use indexmap::IndexMap;
use rustc_hash::FxBuildHasher;

/// Items by the square cells of the xy plane that they are in.
#[derive(Clone, Debug)]
pub(crate) struct Grid<T> {
    side_m: f64,
    cells: IndexMap<[i32; 2], Vec<T>, FxBuildHasher>,
    /// Items that would be in too many cells, or in none that has a number.
    anywhere: Vec<T>,
}

/// An item in more cells than this is kept by itself.
const MOST_CELLS: f64 = 65_536.0;
/// Numbers of cells are less than this.
const FAR: f64 = 1e9;

impl<T: Copy + Ord> Grid<T> {
    /// An empty grid with cells of this side, in metres.
    pub(crate) fn new(side_m: f64) -> Self {
        Self { side_m, cells: IndexMap::default(), anywhere: Vec::new() }
    }

    /// The side of a cell, in metres.
    pub(crate) const fn side_m(&self) -> f64 {
        self.side_m
    }

    /// Adds an item to every cell within a distance of a place.
    pub(crate) fn insert(&mut self, place: DVec3, within_m: f64, item: T) {
        let add = |items: &mut Vec<T>| {
            // The same item is often added to a cell several times in a row.
            if items.last() != Some(&item) {
                items.push(item);
            }
        };
        if !self.has_cells(place, within_m) {
            return add(&mut self.anywhere);
        }
        for cell in cells_near(place, within_m, self.side_m) {
            add(self.cells.entry(cell).or_default());
        }
    }

    /// Removes an item from every cell within a distance of a place.
    pub(crate) fn remove(&mut self, place: DVec3, within_m: f64, item: T) {
        if !self.has_cells(place, within_m) {
            return self.anywhere.retain(|other| *other != item);
        }
        for cell in cells_near(place, within_m, self.side_m) {
            if let Some(items) = self.cells.get_mut(&cell) {
                items.retain(|other| *other != item);
            }
        }
    }

    /// Appends the items of every cell within a distance of a place; an item may come several times.
    pub(crate) fn collect(&self, place: DVec3, within_m: f64, found: &mut Vec<T>) {
        found.extend(&self.anywhere);
        if !self.has_cells(place, within_m) || cells_across(within_m, self.side_m) > self.cells.len() as f64 {
            return self.cells.values().for_each(|items| found.extend(items));
        }
        for cell in cells_near(place, within_m, self.side_m) {
            found.extend(self.cells.get(&cell).into_iter().flatten());
        }
    }

    /// Whether what is within a distance of a place can be told by cells.
    fn has_cells(&self, place: DVec3, within_m: f64) -> bool {
        let [x, y] = [place.x, place.y].map(|at| at.abs() + within_m < FAR * self.side_m);
        x && y && cells_across(within_m, self.side_m) <= MOST_CELLS
    }
}

/// The number of cells that a square of this half width covers.
fn cells_across(within_m: f64, side_m: f64) -> f64 {
    let side = 2.0 * within_m / side_m + 1.0;
    side * side
}

fn cells_near(place: DVec3, within_m: f64, side_m: f64) -> impl Iterator<Item = [i32; 2]> {
    let cell = |at: f64| (at / side_m).floor() as i32;
    let [x, y] = [place.x, place.y].map(|at| cell(at - within_m)..=cell(at + within_m));
    x.flat_map(move |x| y.clone().map(move |y| [x, y]))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math::SplitMix64;

    /// Everything within a distance is found, compared with looking at everything.
    #[test]
    fn nothing_near_is_missed() {
        let mut random = SplitMix64::new(3);
        let mut place = || DVec3::new(random.between(-2.0, 2.0), random.between(-2.0, 2.0), 0.0);
        let places: Vec<DVec3> = (0..200).map(|_| place()).chain([DVec3::new(1e300, 0.0, 0.0)]).collect();
        let mut grid = Grid::new(0.3);
        places.iter().enumerate().for_each(|(item, at)| grid.insert(*at, 0.0, item));
        for within_m in [0.1, 0.7, 5.0, 1e9, f64::INFINITY] {
            let mut found = Vec::new();
            grid.collect(places[7], within_m, &mut found);
            let near = |item: &usize| places[*item].distance(places[7]) <= within_m;
            assert!((0..places.len()).filter(near).all(|item| found.contains(&item)));
        }
        grid.remove(places[7], 0.0, 7);
        let mut found = Vec::new();
        grid.collect(places[7], 0.1, &mut found);
        assert!(!found.contains(&7));
    }
}
