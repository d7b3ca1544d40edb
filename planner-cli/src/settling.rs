//! Turns the trips of a search into timed plans, and lets the checker judge them before anybody sees them.

use crate::args::PlanArgs;
use crate::failure::Failure;
use crate::memory;
use crate::output;
use crate::searching::Searched;
use crate::standby::{Ready, bound_s, findings, note};
use crate::wording;
use clamber_core::check::Finding;
use clamber_core::control::{Budget, Stopped};
use clamber_core::model::{ModuleId, Problem};
use clamber_core::motion::Move;
use clamber_core::plan::{Plan, Status};
use clamber_core::schedule::{
    ScheduleError, SideBySide, moves_of_trips, one_by_one_within, side_by_side, trade_offs,
};
use clamber_core::solve::rearrange;
use clamber_core::travel::Trip;
use rayon::prelude::*;

/// Most sequences of the moves to time in the search for a better one.
const TRIES: u64 = 500;

/// When this share of the time is used up, no further trips are looked for and no further solution is timed.
const LATE: f64 = 0.65;

/// Figures and check of a plan may take this many times as long as the check alone did for the plan that is kept ready.
const LONGER: f64 = 3.0;
/// As long as that is not known, this share of the time is kept back for them.
const KEPT_BACK: f64 = 0.1;

/// An answer comes within this after it is wanted at once, in seconds, or within a share of a short time.
const ANSWER_S: f64 = 0.1;
const ANSWER_SHARE: f64 = 0.05;

/// The timed plan, and what else was asked for.
pub(crate) struct Settled {
    pub(crate) plan: Plan,
    /// Braces and releases, and how few there can be; not for moves one after the other.
    pub(crate) holds: Option<(usize, usize)>,
    /// Other timings of the same moves.
    pub(crate) trade_offs: Vec<SideBySide>,
    /// What the checker found, if this is the plan that was kept ready because there was no time for a better one.
    pub(crate) in_haste: Option<Vec<Finding>>,
}

/// The plan of an outcome, checked. For an unsolved scene it leads part of the way and is sound as far as it goes.
pub(crate) fn settle(problem: &Problem, args: &PlanArgs, searched: &Searched) -> Result<Settled, Failure> {
    let refused = |error: ScheduleError| {
        Failure::not_sound(format!(
            "not solved: a sequence of {} was found, but it cannot be timed: {error}; nothing was written",
            wording::count(searched.outcome.trips.len(), "trip")
        ))
    };
    let enough = || urgency(searched) == Some(Stopped::Cancelled);
    let mut settled = timed(problem, args, searched).map_err(refused)?;
    if settled.in_haste.is_none() {
        let plans = std::iter::once(&settled.plan).chain(settled.trade_offs.iter().map(|t| &t.plan));
        for plan in plans {
            let found = searched.pool.install(|| findings(problem, plan, &enough));
            let Some(found) = found else {
                settled = in_haste(searched).map_err(refused)?;
                break;
            };
            approve(problem, args, plan, &found)?;
        }
    }
    if let Some(found) = &settled.in_haste {
        approve(problem, args, &settled.plan, found)?;
    }
    Ok(settled)
}

/// The plan of an outcome and what else was asked for, timed but not checked; the plan that is kept ready if there is no time for more.
pub(crate) fn timed(
    problem: &Problem,
    args: &PlanArgs,
    searched: &Searched,
) -> Result<Settled, ScheduleError> {
    searched.standby.begin(problem, args, &searched.outcome);
    let interrupt = || urgency(searched);
    let budget = Budget { expansions: TRIES, interrupt: &interrupt, ..Budget::unlimited() };
    match searched.pool.install(|| best_timing(problem, args, searched, &budget)) {
        Err(ScheduleError::Stopped) => in_haste(searched),
        timed => timed,
    }
}

/// Why to hurry: the time that is left is needed for figures and check; and why to stop at once: nobody wants to wait any more, or the time is up and
/// there is a plan ready.
fn urgency(searched: &Searched) -> Option<Stopped> {
    let (ready_s, seconds) = (searched.standby.took_s(), searched.clock.seconds());
    match searched.clock.interrupt(ANSWER_S.min(ANSWER_SHARE * seconds)) {
        Some(Stopped::Spent) if ready_s.is_some() => Some(Stopped::Cancelled),
        Some(stop) => Some(stop),
        None => {
            let reserve_s = ready_s.map_or(KEPT_BACK * seconds, |took_s| LONGER * took_s);
            searched.clock.interrupt(reserve_s)
        }
    }
}

fn best_timing(
    problem: &Problem,
    args: &PlanArgs,
    searched: &Searched,
    budget: &Budget<'_>,
) -> Result<Settled, ScheduleError> {
    let outcome = &searched.outcome;
    let (status, bound_s) = (outcome.status, bound_s(outcome));
    if args.one_by_one {
        let plan = one_by_one_within(problem, &outcome.trips, note(args), status, bound_s, budget)?;
        return Ok(Settled { plan, holds: None, trade_offs: Vec::new(), in_haste: None });
    }
    let sooner = if status == Status::Solved { sooner_moves(problem, args, searched) } else { None };
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
        match side_by_side(problem, moves, note(args), status, bound_s, args.goal_of, budget) {
            Err(ScheduleError::Stopped) => Ok(None),
            found => Ok(Some((moves.clone(), found?))),
        }
    };
    let timed: Result<Vec<_>, ScheduleError> =
        searched.pool.install(|| solutions.par_iter().enumerate().map(time_one).collect());
    let best = timed?.into_iter().flatten().reduce(|best, other| {
        if args.goal_of.prefers(&other.1.plan.summary, &best.1.plan.summary) { other } else { best }
    });
    let Some((moves, found)) = best else { return Err(ScheduleError::Stopped) };
    let others = if args.trade_offs {
        trade_offs(problem, &moves, note(args), status, bound_s, budget)?
    } else {
        Vec::new()
    };
    let holds = Some((found.hold_moves, found.hold_moves_at_least));
    Ok(Settled { plan: found.plan, holds, trade_offs: others, in_haste: None })
}

/// The plan that is kept ready.
fn in_haste(searched: &Searched) -> Result<Settled, ScheduleError> {
    // Nothing is shown that has not passed the check.
    let say_so = || {
        if searched.clock.is_cancelled() {
            output::complain("checking what was found so far; Ctrl-C once more ends at once, without it");
        }
    };
    let Ready { plan, findings, .. } =
        searched.standby.wait(say_so).unwrap_or(Err(ScheduleError::Stopped))?;
    Ok(Settled { plan, holds: None, trade_offs: Vec::new(), in_haste: Some(findings) })
}

/// Moves that end sooner side by side than those that were found; `None` where nobody looks for them, or no timing came in time.
fn sooner_moves(problem: &Problem, args: &PlanArgs, searched: &Searched) -> Option<Vec<(ModuleId, Move)>> {
    if !args.rearranges(problem) {
        return None;
    }
    let interrupt = || {
        let late = (searched.clock.share_used() > LATE).then_some(Stopped::Spent);
        searched.clock.interrupt(0.0).or(late)
    };
    let bytes = memory::for_search(args.memory);
    let budget = Budget { bytes, interrupt: &interrupt, ..Budget::unlimited() };
    let outcome = &searched.outcome;
    let solutions: Vec<Vec<Trip>> =
        std::iter::once(&outcome.trips).chain(&outcome.alternatives).cloned().collect();
    let look = || rearrange(problem, &solutions, args.seed, args.rearrange, outcome.lower_bound_s, &budget);
    searched.pool.install(look).moves
}

fn approve(problem: &Problem, args: &PlanArgs, plan: &Plan, found: &[Finding]) -> Result<(), Failure> {
    if found.is_empty() {
        return Ok(());
    }
    Err(Failure::not_sound(format!(
        "{}internal error: the plan that was found does not pass the check: {}; nothing was written\n\
         Please report this with the scene, planner {}, seed {}{}.",
        crate::findings::list(problem, plan, found),
        wording::count(found.len(), "finding"),
        plan.planner.name,
        args.seed,
        args.greed.map_or_else(String::new, |greed| format!(" and greed {greed}"))
    )))
}
