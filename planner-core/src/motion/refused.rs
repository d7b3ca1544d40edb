//! Moves that the load forbids: how many, and why, by one of them.

use super::{Move, Stretch};
use crate::math::mix;
use crate::model::{Configuration, ModuleId, Placement, Problem};
use crate::statics::{Reason, assess};

/// Counts refused ways and keeps one of them, each as likely as any other, so that only one has to be explained.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Refused {
    count: u64,
    kept: Option<RefusedWay>,
}

/// Moves of one module, with its placement after each, from where the crew stands before the first.
#[derive(Clone, Debug, PartialEq)]
struct RefusedWay {
    before: Configuration,
    mover: ModuleId,
    moves: Vec<(Move, Placement)>,
}

impl Refused {
    /// Notes a way; what it is, is asked only where it is to be kept. Reservoir sampling (Vitter 1985) by numbers that are the same in every
    /// run.
    pub(crate) fn note(
        &mut self,
        mover: ModuleId,
        way: impl FnOnce() -> Option<(Configuration, Vec<(Move, Placement)>)>,
    ) {
        self.count += 1;
        if mix(self.count).is_multiple_of(self.count)
            && let Some((before, moves)) = way()
        {
            self.kept = Some(RefusedWay { before, mover, moves });
        }
    }

    /// How many were noted.
    pub(crate) const fn count(&self) -> u64 {
        self.count
    }

    /// Why the way that was kept is not carried with utilisations up to `limit`, by the bond that fails worst at the first begin, middle or end of
    /// a move at which one does; `None` if it fails only between.
    pub(crate) fn reason(&self, problem: &Problem, limit: f64) -> Option<Reason> {
        let RefusedWay { before, mover, moves } = self.kept.as_ref()?;
        let mut now = before.clone();
        moves.iter().find_map(|(action, after)| {
            let mut then = now.clone();
            *then.get_mut(*mover) = *after;
            let stretch = Stretch::of_move(problem, &now, *mover, action, &then);
            now = then;
            [0.0, 1.0, 0.5].into_iter().find_map(|share| {
                stretch.variants().find_map(|hops_done| {
                    let case = stretch.load_at(share, hops_done);
                    (!case.carries(limit)).then(|| assess(problem, &case).reason).flatten()
                })
            })
        })
    }
}
