//! Where every module is at every time of a plan.

use crate::geometry::{Path, Sweep};
use crate::math::DVec3;
use crate::model::{Configuration, ModuleId, Placement};

/// A piece of time in which a module keeps its place, or is moved by one step.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub(super) from_s: f64,
    pub(super) to_s: f64,
    /// Its placement at the beginning.
    pub(super) place: Placement,
    /// The step that slides or yaws it, and the whole motion of that step.
    pub(super) moved: Option<(usize, Sweep)>,
}

impl Piece {
    /// The position of the centre at a time within the piece.
    pub(super) fn position_at(&self, at_s: f64) -> DVec3 {
        match self.moved {
            None => self.place.position,
            Some((_, sweep)) => sweep.point_at(self.place.position, self.share_at(at_s)),
        }
    }

    /// The path of the centre from one time within the piece to another; `None` where it keeps its place.
    pub(super) fn path_between(&self, from_s: f64, to_s: f64) -> Option<Path> {
        let (_, sweep) = self.moved?;
        let whole = sweep.path_of(self.place.position);
        let lasts = self.to_s > self.from_s;
        let [from, to] = if lasts { [self.share_at(from_s), self.share_at(to_s)] } else { [0.0, 1.0] };
        Some(if (from, to) == (0.0, 1.0) { whole } else { whole.part(from, to) })
    }

    fn share_at(&self, at_s: f64) -> f64 {
        let lasts_s = self.to_s - self.from_s;
        if lasts_s > 0.0 { ((at_s - self.from_s) / lasts_s).clamp(0.0, 1.0) } else { 1.0 }
    }
}

/// The pieces of every module, one after the other, from the beginning of the plan on; the last ones have no end.
#[derive(Clone, Debug)]
pub(super) struct Timeline {
    pieces: Vec<Vec<Piece>>,
}

impl Timeline {
    pub(super) fn new(start: &Configuration) -> Self {
        let stays =
            |place: &Placement| vec![Piece { from_s: 0.0, to_s: f64::INFINITY, place: *place, moved: None }];
        Self { pieces: start.iter().map(|(_, place)| stays(place)).collect() }
    }

    /// Notes that a step moves a module from one time to another.
    pub(super) fn moves(
        &mut self,
        module: ModuleId,
        (from_s, to_s): (f64, f64),
        place: Placement,
        moved: (usize, Sweep),
    ) {
        self.begin(module, Piece { from_s, to_s, place, moved: Some(moved) });
    }

    /// Notes that a module keeps a placement from a time on.
    pub(super) fn stays(&mut self, module: ModuleId, from_s: f64, place: Placement) {
        self.begin(module, Piece { from_s, to_s: f64::INFINITY, place, moved: None });
    }

    fn begin(&mut self, module: ModuleId, piece: Piece) {
        let pieces = &mut self.pieces[module.index()];
        if let Some(last) = pieces.last_mut() {
            last.to_s = last.to_s.min(piece.from_s);
        }
        pieces.push(piece);
    }

    pub(super) fn of(&self, module: ModuleId) -> &[Piece] {
        &self.pieces[module.index()]
    }

    /// All pieces, with their modules.
    pub(super) fn iter(&self) -> impl Iterator<Item = (ModuleId, &Piece)> {
        self.pieces
            .iter()
            .enumerate()
            .flat_map(|(index, own)| own.iter().map(move |piece| (ModuleId::at(index), piece)))
    }

    /// The piece of a module at a time; where one ends and another begins, the later.
    pub(super) fn piece_at(&self, module: ModuleId, at_s: f64) -> &Piece {
        let own = self.of(module);
        let begun = own.partition_point(|piece| piece.from_s <= at_s);
        &own[begun.saturating_sub(1)]
    }

    /// The position of a module's centre at a time.
    pub(super) fn position_at(&self, module: ModuleId, at_s: f64) -> DVec3 {
        self.piece_at(module, at_s).position_at(at_s)
    }
}
