//! Slides in short pieces: modules that cross each other's ways then wait for a piece, and those on one way follow each other in a convoy.

use crate::model::{ModuleId, Problem};
use crate::motion::Move;

/// Length of a piece, in shell radii of its module.
const PIECE: f64 = 2.0;

/// Moves with every long slide in pieces of one length.
pub(super) fn cut(problem: &Problem, moves: &[(ModuleId, Move)]) -> Vec<(ModuleId, Move)> {
    let mut pieces = Vec::with_capacity(moves.len());
    for &(module, action) in moves {
        let Move::Slide { travel_m, curvature_per_m } = action else {
            pieces.push((module, action));
            continue;
        };
        let count = (travel_m.abs() / (PIECE * problem.kind(module).shell_radius_m)).round().max(1.0);
        let piece = Move::Slide { travel_m: travel_m / count, curvature_per_m };
        pieces.extend(std::iter::repeat_n((module, piece), count as usize));
    }
    pieces
}
