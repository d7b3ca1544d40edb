//! Large crews: timings by list scheduling with slides in pieces. They take seconds where the search for the best timing takes hours.

use super::incumbent::{Candidate, Checked};
use super::rearranging::direct_trips;
use crate::control::Budget;
use crate::model::{ModuleId, Problem};
use crate::motion::Move;
use crate::schedule::{Heading, in_pieces, list_scheduled, moves_of_trips};

/// Crews with more modules are large.
pub(super) const MANY: usize = 16;
/// Most sets of moves under way together in one structure that such a second timing looks at.
const SETS: usize = 32;

type Moves = Vec<(ModuleId, Move)>;

/// Offers timings of a sequence, and of direct trips to the slots, until nothing is left to try or the budget is spent. What ends sooner than all before is
/// timed again with more work.
pub(super) fn time_in_pieces(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    heading: &Heading,
    budget: &Budget<'_>,
    mut offer: impl FnMut(Checked),
) {
    let mut timed = |pieces: &Moves, most_sets: usize| -> Option<f64> {
        let plan = list_scheduled(problem, pieces, heading, most_sets, budget.interrupt).ok()?;
        let checked = Candidate::from(plan).checked(problem, budget.interrupt).ok()?;
        let makespan_s = checked.plan.summary.makespan_s;
        offer(checked);
        Some(makespan_s)
    };
    let direct = direct_trips(problem, budget).filter_map(|trips| moves_of_trips(problem, &trips).ok());
    let mut best_s = f64::INFINITY;
    for moves in std::iter::once(moves.to_vec()).chain(direct) {
        // In the order of their arrivals some load may not be carried.
        let found = [true, false].into_iter().find_map(|by_arrivals| {
            let pieces = in_pieces(problem, &moves, by_arrivals, budget.interrupt).ok()?;
            Some((timed(&pieces, 1)?, pieces))
        });
        if let Some((makespan_s, pieces)) = found
            && makespan_s < best_s
        {
            best_s = timed(&pieces, SETS).map_or(makespan_s, |again_s| again_s.min(makespan_s));
        }
    }
}
