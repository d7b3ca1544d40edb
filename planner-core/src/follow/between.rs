//! Crosses and strides that have stopped on their way: nobody stands there, so each counts as taken back or as ended.

use super::follower::Follower;
use super::measured::Measured;
use super::settle::Finish;
use crate::model::{Configuration, ModuleId, Placement};
use crate::motion::{Move, apply};

/// A cross or a stride on its way, and the places of those that it moves at its two ends: where it began, and where it leads.
pub(super) struct Between {
    pub(super) mover: ModuleId,
    pub(super) places: Vec<(ModuleId, [Placement; 2])>,
}

/// The end at which such a move is taken to be.
#[derive(Clone, Copy)]
pub(super) struct End<'a> {
    between: &'a Between,
    goes_on: bool,
}

/// Most such moves at once for all their ends to be tried.
const MOST_BETWEEN: usize = 6;

impl Follower<'_> {
    /// The crosses and strides that are under way or have stopped.
    pub(super) fn between(&self, expected: &Configuration) -> Vec<Between> {
        let ends = |mover: ModuleId| {
            let (step, _) = self.goes_over(mover)?;
            let action = self.plan().steps[step].action;
            if matches!(action, Move::Hop { .. }) {
                return None;
            }
            let after = apply(self.problem(), expected, mover, &action).ok()?;
            let both = expected.iter().zip(after.iter()).map(|((id, from), (_, to))| (id, [*from, *to]));
            let places = both.filter(|(id, [from, to])| *id == mover || from != to).collect();
            Some(Between { mover, places })
        };
        self.problem().module_ids().filter_map(ends).collect()
    }
}

impl End<'_> {
    /// Puts those that the move moves where it has this end: as they are expected, and as they are measured.
    pub(super) fn put(&self, expected: &mut Configuration, measured: &mut [Measured]) {
        for (id, place) in self.places() {
            *expected.get_mut(id) = place;
            if let Some(own) = measured.get_mut(id.index()) {
                *own = Measured::exactly(&place, own.scatter);
            }
        }
    }

    pub(super) fn finish(&self) -> Option<Finish> {
        let module = self.between.mover;
        let (_, place) = self.places().find(|(id, _)| *id == module)?;
        Some(Finish { module, host: place.host, goes_on: self.goes_on })
    }

    fn places(&self) -> impl Iterator<Item = (ModuleId, Placement)> {
        let end = usize::from(self.goes_on);
        self.between.places.iter().map(move |(id, ends)| (*id, ends[end]))
    }

    /// How far those that the move moves were measured from this end, in metres, all together.
    fn distance_m(&self, measured: &[Measured]) -> f64 {
        let of = |(id, place): (ModuleId, Placement)| {
            measured.get(id.index()).map_or(0.0, |own| own.position.distance(place.position))
        };
        self.places().map(of).sum()
    }
}

/// All ways in which such moves may end, the nearest first.
pub(super) fn ways_to_end<'a>(moves: &'a [Between], measured: &[Measured]) -> Vec<Vec<End<'a>>> {
    let moves = &moves[..moves.len().min(MOST_BETWEEN)];
    let way = |bits: u32| -> Vec<End<'a>> {
        let end = |(at, between)| End { between, goes_on: bits >> at & 1 == 1 };
        moves.iter().enumerate().map(end).collect()
    };
    let mut ways: Vec<Vec<End<'a>>> = (0..1_u32 << moves.len()).map(way).collect();
    let distance_m = |ends: &[End<'a>]| -> f64 { ends.iter().map(|end| end.distance_m(measured)).sum() };
    ways.sort_by(|a, b| distance_m(a).total_cmp(&distance_m(b)));
    ways
}
