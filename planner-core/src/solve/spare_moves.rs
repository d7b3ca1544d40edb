//! Moves of a sequence that can be left out.
//!
//! A sequence that is good side by side may hold trips that no longer help anybody. Without them the others can be made as before, and no later.

use crate::control::{Budget, Stopped};
use crate::model::{Hold, ModuleId, Problem};
use crate::motion::{Move, Stretch, apply};
use crate::search::{braced, is_met_apart_from_holds};
use crate::statics::WarmStart;

type Moves = Vec<(ModuleId, Move)>;

/// The sequence without the moves of any module, and without the runs of moves of one module, that are not needed. Every module braces between its
/// moves, where it can.
///
/// Complexity: quadratic in the moves, with the certificate of each.
///
/// # Errors
/// When interrupted.
pub(super) fn without_spare_moves(
    problem: &Problem,
    mut moves: Moves,
    budget: &Budget<'_>,
) -> Result<Moves, Stopped> {
    for module in problem.module_ids().filter(|m| moves.iter().any(|(id, _)| id == m)).collect::<Vec<_>>() {
        let left: Moves = moves.iter().filter(|(id, _)| *id != module).copied().collect();
        if will_do(problem, &left, budget)? {
            moves = left;
        }
    }
    let mut first = 0;
    while first < moves.len() {
        let length = moves[first..].iter().take_while(|(id, _)| *id == moves[first].0).count();
        let mut left = moves.clone();
        left.drain(first..first + length);
        if will_do(problem, &left, budget)? {
            (moves, first) = (left, 0);
        } else {
            first += length;
        }
    }
    Ok(moves)
}

/// Whether moves made one after the other are sound at every instant and reach the goal.
fn will_do(problem: &Problem, moves: &[(ModuleId, Move)], budget: &Budget<'_>) -> Result<bool, Stopped> {
    let limit = problem.limits.utilisation_to_make_again();
    let mut hint = WarmStart::default();
    let mut now = braced(problem, &problem.start);
    for (mover, action) in moves {
        budget.go_on()?;
        let hold = now.get(*mover).hold;
        now.get_mut(*mover).hold = Hold::Rolling;
        let Ok(after) = apply(problem, &now, *mover, action) else { return Ok(false) };
        let stretch = Stretch::of_move(problem, &now, *mover, action, &after);
        if !stretch.is_clear()
            || !stretch.keeps_clearance()
            || !stretch.carries(limit, &mut hint, budget.interrupt)?
        {
            return Ok(false);
        }
        now = after;
        now.get_mut(*mover).hold = hold;
    }
    Ok(is_met_apart_from_holds(problem, &now))
}
