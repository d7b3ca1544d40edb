//! The pieces of a timeline by where they lead, so that what a step may meet is found without looking at everything.

use super::timeline::{Piece, Timeline};
use crate::geometry::Path;
use crate::math::{DVec3, Grid};
use crate::model::ModuleId;

/// Every piece of every module, in cells of the ground.
pub(super) struct Near<'a> {
    pieces: Vec<(ModuleId, &'a Piece)>,
    grid: Grid<u32>,
}

impl<'a> Near<'a> {
    /// For a timeline, with cells of this side in metres.
    pub(super) fn new(timeline: &'a Timeline, side_m: f64) -> Self {
        let mut near = Self { pieces: timeline.iter().collect(), grid: Grid::new(side_m) };
        for (index, (_, piece)) in near.pieces.iter().enumerate() {
            let path = piece.path_between(piece.from_s, piece.to_s);
            for (middle, reach_m) in parts(piece.place.position, path.as_ref(), side_m) {
                near.grid.insert(middle, reach_m, index as u32);
            }
        }
        near
    }

    /// The pieces that may come within a distance of the centre of a module over some of its piece, in a fixed order.
    pub(super) fn pieces(&self, piece: &Piece, within_m: f64) -> impl Iterator<Item = (ModuleId, &'a Piece)> {
        let path = piece.path_between(piece.from_s, piece.to_s);
        let mut found = Vec::new();
        for (middle, reach_m) in parts(piece.place.position, path.as_ref(), self.grid.side_m()) {
            self.grid.collect(middle, reach_m + within_m, &mut found);
        }
        found.sort_unstable();
        found.dedup();
        found.into_iter().map(|index| self.pieces[index as usize])
    }
}

/// Middles of the parts of a path, each with a distance that the part does not leave. A part is about as long as a cell.
fn parts(place: DVec3, path: Option<&Path>, side_m: f64) -> Vec<(DVec3, f64)> {
    let Some(path) = path else { return vec![(place, 0.0)] };
    let part = |part: Path| (part.at(0.5 * part.span()), part.reach_from_middle());
    path.in_parts(side_m).into_iter().map(part).collect()
}
