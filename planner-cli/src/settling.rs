//! Turns the trips of a search into timed plans, and lets the checker judge them before anybody sees them.

use crate::args::PlanArgs;
use crate::failure::Failure;
use crate::findings;
use crate::searching::Searched;
use crate::wording;
use clamber_core::check::check_plan;
use clamber_core::model::{ModuleId, Problem};
use clamber_core::motion::{Move, Plan, PlannerNote, Status};
use clamber_core::schedule::{
    ScheduleError, SideBySide, moves_of_trips, one_by_one, rearrange, side_by_side, trade_offs,
};
use clamber_core::search::{Budget, Stop};
use clamber_core::travel::Trip;
use rayon::prelude::*;

/// Most sequences of the moves to time in the search for a better one.
const TRIES: u64 = 500;

/// When this share of the time is used up, no further trips are looked for and no further solution is timed.
const LATE: f64 = 0.65;

/// When this share is used up, no other order of the moves is tried: the rest is for working out the figures of the plan and checking it.
const LAST: f64 = 0.75;

/// The timed plan, and what else was asked for.
pub(crate) struct Settled {
    pub(crate) plan: Plan,
    /// Braces and releases, and how few there can be; not for moves one after the other.
    pub(crate) holds: Option<(usize, usize)>,
    /// Other timings of the same moves.
    pub(crate) trade_offs: Vec<SideBySide>,
}

/// The plan of an outcome, checked. For an unsolved scene it leads part of the way and is sound as far as it goes.
pub(crate) fn settle(problem: &Problem, args: &PlanArgs, searched: &Searched) -> Result<Settled, Failure> {
    let settled = timed(problem, args, searched).map_err(|error| {
        Failure::not_sound(format!(
            "not solved: a sequence of {} was found, but it cannot be timed: {error}; nothing was written",
            wording::count(searched.outcome.trips.len(), "trip")
        ))
    })?;
    for plan in std::iter::once(&settled.plan).chain(settled.trade_offs.iter().map(|t| &t.plan)) {
        check(problem, args, plan)?;
    }
    Ok(settled)
}

/// The plan of an outcome and what else was asked for, timed but not checked.
pub(crate) fn timed(
    problem: &Problem,
    args: &PlanArgs,
    searched: &Searched,
) -> Result<Settled, ScheduleError> {
    let outcome = &searched.outcome;
    let note = || PlannerNote::new(args.planner.planner().name(), args.seed);
    // A scene that was proved impossible has no finite bound, and files hold finite numbers only.
    let bound_s = if outcome.lower_bound_s.is_finite() { outcome.lower_bound_s } else { 0.0 };
    if args.one_by_one {
        let plan = one_by_one(problem, &outcome.trips, note(), outcome.status, bound_s)?;
        return Ok(Settled { plan, holds: None, trade_offs: Vec::new() });
    }
    let interrupt = || {
        let late = (searched.clock.share_used() > LAST).then_some(Stop::Spent);
        searched.clock.interrupt().or(late)
    };
    let budget = Budget { expansions: TRIES, kept: usize::MAX, interrupt: &interrupt };
    let sooner = if outcome.status == Status::Solved { sooner_moves(problem, args, searched) } else { None };
    // What is shortest one trip after the other need not be so side by side.
    let solutions: Vec<Vec<(ModuleId, Move)>> = match sooner {
        Some(moves) => vec![moves],
        None => std::iter::once(&outcome.trips)
            .chain(&outcome.alternatives)
            .map(|trips| moves_of_trips(problem, trips))
            .collect::<Result<_, _>>()?,
    };
    let time_one = |(index, moves): (usize, &Vec<(ModuleId, Move)>)| {
        if index > 0 && searched.clock.share_used() > LATE {
            return Ok(None);
        }
        side_by_side(problem, moves, note(), outcome.status, bound_s, args.goal_of, &budget)
            .map(|found| Some((moves.clone(), found)))
    };
    let timed: Result<Vec<_>, ScheduleError> =
        searched.pool.install(|| solutions.par_iter().enumerate().map(time_one).collect());
    let best = timed?.into_iter().flatten().reduce(|best, other| {
        if args.goal_of.prefers(&other.1.plan.summary, &best.1.plan.summary) { other } else { best }
    });
    let Some((moves, found)) = best else { return Err(ScheduleError::FinalShape) };
    let others = if args.trade_offs {
        trade_offs(problem, &moves, note(), outcome.status, bound_s, &budget)?
    } else {
        Vec::new()
    };
    let holds = Some((found.hold_moves, found.hold_moves_at_least));
    Ok(Settled { plan: found.plan, holds, trade_offs: others })
}

/// Moves that end sooner side by side than those that were found; `None` where nobody looks for them, or no timing came in time.
fn sooner_moves(problem: &Problem, args: &PlanArgs, searched: &Searched) -> Option<Vec<(ModuleId, Move)>> {
    if !args.rearranges(problem) {
        return None;
    }
    let interrupt = || {
        let late = (searched.clock.share_used() > LATE).then_some(Stop::Spent);
        searched.clock.interrupt().or(late)
    };
    let budget = Budget { interrupt: &interrupt, ..Budget::unlimited() };
    let outcome = &searched.outcome;
    let solutions: Vec<Vec<Trip>> =
        std::iter::once(&outcome.trips).chain(&outcome.alternatives).cloned().collect();
    let look = || rearrange(problem, &solutions, args.seed, args.rearrange, outcome.lower_bound_s, &budget);
    searched.pool.install(look).moves
}

fn check(problem: &Problem, args: &PlanArgs, plan: &Plan) -> Result<(), Failure> {
    let solved = plan.status == Status::Solved;
    let mut found = check_plan(problem, plan).findings;
    // That a part of the way does not reach the goal is no fault of it.
    found.retain(|finding| solved || finding.rule != "goal");
    if found.is_empty() {
        return Ok(());
    }
    Err(Failure::not_sound(format!(
        "{}internal error: the plan that was found does not pass the check: {}; nothing was written\n\
         Please report this with the scene, planner {}, seed {} and greed {}.",
        findings::list(problem, plan, &found),
        wording::count(found.len(), "finding"),
        plan.planner.name,
        args.seed,
        args.greed
    )))
}
