//! Moves that the load forbids: how many, and the reason for a random one of them.

use super::{Move, Stretch};
use crate::math::mix;
use crate::model::{Configuration, ModuleId, Placement, Problem};
use crate::statics::{Reason, assess};

/// Counts refused moves and keeps a uniformly random one of them, so that only one has to be explained.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Refused {
    count: u64,
    kept: Option<RefusedWay>,
}

/// Moves of one module, with its placement after each, and the configuration before the first.
#[derive(Clone, Debug, PartialEq)]
struct RefusedWay {
    before: Configuration,
    mover: ModuleId,
    moves: Vec<(Move, Placement)>,
}

impl Refused {
    /// Records refused moves; they are computed only if they are kept. Reservoir sampling (Vitter 1985) with numbers that are the same in every run.
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

    /// Number of refusals recorded.
    pub(crate) const fn count(&self) -> u64 {
        self.count
    }

    /// Why the moves that were kept are not carried with utilisations up to `limit`: the worst bond at the first start, end or middle of a move at
    /// which one fails; `None` if the load fails only between these.
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
