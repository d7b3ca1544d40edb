//! Stage 2: from a sequence of moves to a timed plan in which the crew moves side by side.

use super::bracing::{Holds, fewest_holds};
use super::crew::Crew;
use super::drive_sequence::DriveSequence;
use super::figures::{Scope, Timed};
use super::loads::Loads;
use super::local_search::{Arranged, improve};
use super::objective::dominates;
use super::order::arrange;
use super::timing::{Heading, plan_of};
use super::{Objective, PAUSE_S, ScheduleError};
use crate::control::{Budget, Interrupt};
use crate::model::{ModuleId, Problem};
use crate::motion::Move;
use crate::plan::{Plan, PlannerNote, Status};

/// A timed plan and how good it is.
#[derive(Clone, Debug, PartialEq)]
pub struct SideBySide {
    /// The plan.
    pub plan: Plan,
    /// Braces and releases in it.
    pub hold_moves: usize,
    /// No plan with the drives in the order of their starts, each with utilisations up to the limit asked for, has fewer.
    pub hold_moves_at_least: usize,
    /// Sequences that were timed.
    pub tried: u64,
}

/// Rounds of deciding holds anew for the order that came out.
const ROUNDS: usize = 3;
/// Steps of bisection to the least limit on utilisation.
const BISECTIONS: usize = 12;
/// Limits on utilisation tried for a table of trade-offs.
const LEVELS: usize = 5;

/// Times a sequence of moves side by side.
///
/// Which steps wait for which follows from what truly depends on what, and all other steps may be under way together in any order and at any
/// pace: the plan stays sound whatever is delayed, as long as every step waits for those in its `after`. Braces and releases in `moves` are
/// passed over: holds are decided here, as few as the order of the drives can do with. `status` is written into the plan; for
/// [`Status::Solved`] the holds and payloads of the goal are seen to at the end.
///
/// Once `budget` is spent it looks for nothing better and finishes what it has; once cancelled it answers at once with the best plan that is
/// finished. For [`Objective::Margin`] the limit on utilisation is made as small as the sequence allows. `budget` bounds the sequences tried; the plan
/// of `moves` itself is always made. The same arguments give the same plan.
///
/// # Errors
/// When the sequence cannot be made one move after the other, no bracing carries it, or no plan is finished when cancelled.
pub fn side_by_side(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
    objective: Objective,
    budget: &Budget<'_>,
) -> Result<SideBySide, ScheduleError> {
    let timer = Timer::new(problem, moves, Heading { planner, status, lower_bound_s }, budget)?;
    let limit = match objective {
        Objective::Margin => timer.least_limit()?,
        Objective::Time | Objective::Energy | Objective::Moves => problem.limits.utilisation(),
    };
    timer.timed(limit, objective)
}

/// Plans of one sequence of which none is better than another in makespan, energy, moves and worst utilisation together; the soonest first.
///
/// The limit on utilisation is varied from the least that the sequence allows to the scene's. The same budget holds for each.
///
/// # Errors
/// See [`side_by_side`].
pub fn trade_offs(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    planner: PlannerNote,
    status: Status,
    lower_bound_s: f64,
    budget: &Budget<'_>,
) -> Result<Vec<SideBySide>, ScheduleError> {
    let timer = Timer::new(problem, moves, Heading { planner, status, lower_bound_s }, budget)?;
    let (least, most) = (timer.least_limit()?, problem.limits.utilisation());
    let mut found: Vec<SideBySide> = Vec::new();
    for level in 0..LEVELS {
        let limit = most + (least - most) * level as f64 / (LEVELS - 1) as f64;
        if !found.is_empty() && budget.interrupt.asked().is_some() {
            break;
        }
        let one = match timer.timed(limit, Objective::Time) {
            Ok(one) => one,
            Err(ScheduleError::Stopped) => break,
            Err(_) => continue,
        };
        let known = |s: &SideBySide| {
            dominates(&s.plan.summary, &one.plan.summary) || s.plan.summary == one.plan.summary
        };
        if found.iter().any(known) {
            continue;
        }
        found.retain(|s| !dominates(&one.plan.summary, &s.plan.summary));
        found.push(one);
    }
    if found.is_empty() && budget.interrupt.asked().is_some() {
        return Err(ScheduleError::Stopped);
    }
    found.sort_by(|a, b| a.plan.summary.makespan_s.total_cmp(&b.plan.summary.makespan_s));
    Ok(found)
}

struct Timer<'a> {
    course: DriveSequence<'a>,
    heading: Heading,
    budget: &'a Budget<'a>,
}

impl<'a> Timer<'a> {
    fn new(
        problem: &'a Problem,
        moves: &[(ModuleId, Move)],
        heading: Heading,
        budget: &'a Budget<'a>,
    ) -> Result<Self, ScheduleError> {
        Ok(Self { course: DriveSequence::new(problem, moves)?, heading, budget })
    }

    fn solved(&self) -> bool {
        self.heading.status == Status::Solved
    }

    fn given(&self) -> Vec<usize> {
        (0..self.course.drives.len()).collect()
    }

    /// The least limit on utilisation, to a share of the scene's, at which the sequence can be made.
    fn least_limit(&self) -> Result<f64, ScheduleError> {
        let most = self.course.problem.limits.utilisation();
        let works = |limit: f64, interrupt: Interrupt<'_>| {
            let mut loads = Loads::new(&self.course, limit);
            let holds = fewest_holds(&self.course, &mut loads, &self.given(), self.solved(), interrupt)?;
            self.arranged(&mut loads, &self.given(), &holds, interrupt).map(|_| ())
        };
        works(most, self.budget.interrupt.only_when_cancelled())?;
        let (mut low, mut high) = (0.0, most);
        for _ in 0..BISECTIONS {
            if self.budget.interrupt.asked().is_some() {
                break;
            }
            let middle = 0.5 * (low + high);
            match works(middle, self.budget.interrupt) {
                Ok(()) => high = middle,
                Err(ScheduleError::Stopped) => break,
                Err(_) => low = middle,
            }
        }
        Ok(high)
    }

    fn timed(&self, limit: f64, objective: Objective) -> Result<SideBySide, ScheduleError> {
        // Until there is a plan.
        let needed = self.budget.interrupt.only_when_cancelled();
        let mut interrupt = needed;
        let mut loads = Loads::new(&self.course, limit);
        let mut drives = self.given();
        let mut holds = fewest_holds(&self.course, &mut loads, &drives, self.solved(), interrupt)?;
        let mut tried = 0;
        let mut best: Option<SideBySide> = None;
        for _ in 0..ROUNDS {
            if best.is_some() && self.budget.interrupt.asked().is_some() {
                break;
            }
            let improved = self.improved(&mut loads, &drives, &holds, interrupt, &mut tried);
            let next = improved.and_then(|timeline| {
                let heading = self.heading.clone();
                let problem = self.course.problem;
                let (moves, waits) = (&timeline.moves, &timeline.waits);
                let plan = plan_of(problem, moves, waits, heading, Scope::Whole, needed)?;
                Ok((timeline, plan))
            });
            let (timeline, plan) = match next {
                Err(ScheduleError::Stopped) if best.is_some() => break,
                next => next?,
            };
            drives = timeline.drives;
            interrupt = self.budget.interrupt;
            let again = match fewest_holds(&self.course, &mut loads, &drives, self.solved(), interrupt) {
                Err(ScheduleError::Stopped) => None,
                again => Some(again?),
            };
            let found = SideBySide {
                plan,
                hold_moves: timeline.hold_moves,
                hold_moves_at_least: again.as_ref().map_or(0, |again| again.at_least),
                tried,
            };
            let is_better =
                best.as_ref().is_none_or(|b| objective.prefers(&found.plan.summary, &b.plan.summary));
            if is_better {
                best = Some(found);
            }
            match again {
                Some(again) if is_better && again.braced != holds.braced => holds = again,
                _ => break,
            }
        }
        best.ok_or(ScheduleError::FinalShape)
    }

    /// The order of a sequence as it is given.
    fn arranged<'b>(
        &'b self,
        loads: &mut Loads<'b>,
        drives: &[usize],
        holds: &Holds,
        interrupt: Interrupt<'_>,
    ) -> Result<Arranged, ScheduleError> {
        let mut crew = Crew::new(&self.course, loads, drives, holds, interrupt);
        let sequence: Vec<usize> = (0..crew.items.len()).collect();
        let order = arrange(&mut crew, &sequence, PAUSE_S).map_err(|error| crew.explained(error))?;
        Ok(Arranged { sequence, order })
    }

    /// The best order found before the budget is spent; `interrupt` is for the first.
    fn improved<'b>(
        &'b self,
        loads: &mut Loads<'b>,
        drives: &[usize],
        holds: &Holds,
        interrupt: Interrupt<'_>,
        tried: &mut u64,
    ) -> Result<Timeline, ScheduleError> {
        let first = self.arranged(loads, drives, holds, interrupt)?;
        let mut crew = Crew::new(&self.course, loads, drives, holds, self.budget.interrupt);
        let found = improve(&mut crew, first, PAUSE_S, self.heading.lower_bound_s, || {
            let go_on = self.budget.spent(*tried, 0).is_none();
            *tried += u64::from(go_on);
            go_on
        });
        Ok(Timeline::new(&crew, &found))
    }
}

/// Steps with starts and waits.
struct Timeline {
    moves: Vec<Timed>,
    waits: Vec<Vec<usize>>,
    /// The drives in the order of their starts.
    drives: Vec<usize>,
    hold_moves: usize,
}

impl Timeline {
    fn new(crew: &Crew<'_, '_>, found: &Arranged) -> Self {
        let order = &found.order;
        let timed = |(step, item): (usize, &super::crew::Item)| Timed {
            module: item.module,
            action: item.action,
            start_s: order.start_s[step],
            duration_s: item.duration_s,
        };
        let mut by_start = found.sequence.clone();
        by_start.sort_by(|&a, &b| order.start_s[a].total_cmp(&order.start_s[b]));
        Self {
            moves: crew.items.iter().enumerate().map(timed).collect(),
            waits: (0..crew.items.len()).map(|step| order.waits_of(step)).collect(),
            drives: crew.drives_of(&by_start),
            hold_moves: crew.hold_moves(),
        }
    }
}
