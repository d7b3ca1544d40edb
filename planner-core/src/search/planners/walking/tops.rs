//! Level tops on which feet and ends stand, and decks in the way, each with the box around it: most are far away.

use crate::geometry::{Path, keeps_off_prism, least_inset};
use crate::math::{DVec2, DVec3, tolerance};
use crate::model::{Deck, Ground, GroundId, Problem};

/// The tops and decks of a site.
pub(super) struct Tops<'a> {
    tops: Vec<Boxed<(GroundId, &'a Ground)>>,
    decks: Vec<Boxed<&'a Deck>>,
}

struct Boxed<T> {
    of: T,
    low: DVec2,
    high: DVec2,
}

impl<T> Boxed<T> {
    fn new(of: T, corners: impl Iterator<Item = DVec2>) -> Self {
        let none = (DVec2::INFINITY, DVec2::NEG_INFINITY);
        let (low, high) = corners.fold(none, |(low, high), at| (low.min(at), high.max(at)));
        Self { of, low, high }
    }

    fn is_near(&self, at: DVec2, within_m: f64) -> bool {
        at.cmpge(self.low - within_m).all() && at.cmple(self.high + within_m).all()
    }
}

impl<'a> Tops<'a> {
    pub(super) fn new(problem: &'a Problem) -> Self {
        let level = problem.ground_ids().map(|id| (id, problem.ground(id)));
        let level = level.filter(|(_, ground)| ground.plane.is_level());
        let tops = level.map(|of| Boxed::new(of, of.1.outline.corners())).collect();
        let decks = problem.decks.iter().map(|deck| Boxed::new(deck, deck.solid.outline.iter().copied()));
        Self { tops, decks: decks.collect() }
    }

    /// The level tops whose box is within so many metres of a point.
    pub(super) fn near(&self, at: DVec2, within_m: f64) -> impl Iterator<Item = (GroundId, &'a Ground)> {
        self.tops.iter().filter(move |top| top.is_near(at, within_m)).map(|top| top.of)
    }

    /// Whether an end of this radius can roll over a top by a step, clear of all decks.
    pub(super) fn roll(&self, ground: &Ground, end: DVec3, step: DVec3, radius_m: f64) -> bool {
        if ground.surfacing.relief_m > 0.0
            || ground.outline.inset(end.truncate()) < tolerance::LENGTH_M
            || ground.outline.inset((end + step).truncate()) < tolerance::LENGTH_M
        {
            return false;
        }
        let way = Path::Line { from: end, step };
        let keep_m = radius_m - 0.5 * tolerance::LENGTH_M;
        let (middle, reach_m) = ((end + 0.5 * step).truncate(), 0.5 * step.length() + radius_m);
        least_inset(&way, &ground.outline, tolerance::LENGTH_M)
            .is_none_or(|(inset_m, _)| inset_m >= tolerance::LENGTH_M)
            && self.decks.iter().filter(|deck| deck.is_near(middle, reach_m)).all(|deck| {
                let solid = &deck.of.solid;
                solid.top_range()[1] <= ground.height_m() || keeps_off_prism(&way, solid, keep_m)
            })
    }
}

/// The mean of a ground's corners, seen from above.
pub(super) fn middle(ground: &Ground) -> DVec2 {
    let (sum, count) = ground.outline.corners().fold((DVec2::ZERO, 0.0), |(s, n), c| (s + c, n + 1.0));
    sum / f64::max(count, 1.0)
}
