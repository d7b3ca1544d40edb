//! Stage 2: from a sequence of moves to a timed plan in which modules move in parallel.

use super::arrivals::by_arrival;
use super::bracing::{Holds, fewest_holds, quick_holds};
use super::crew::Crew;
use super::drive_sequence::DriveSequence;
use super::loads::Loads;
use super::local_search::{Arranged, improve};
use super::order::{arrange, arrange_quickly};
use super::pieces::cut;
use super::timing::{Heading, plan_of};
use super::{Objective, PAUSE_S, ScheduleError};
use crate::control::{Budget, Interrupt};
use crate::model::{ModuleId, Problem};
use crate::motion::Move;
use crate::plan::{Plan, Status};

/// A timed plan and its bounds.
#[derive(Clone, Debug, PartialEq)]
pub struct SideBySide {
    /// The plan. Its utilisations and gaps are left empty; the check fills them in ([`check_and_fill_in`](crate::check::check_and_fill_in)).
    pub plan: Plan,
    /// Number of braces and releases in it.
    pub hold_moves: usize,
    /// A lower bound on this number for plans with the drives in the order of their starts, each with utilisations up to the limit asked for.
    pub hold_moves_at_least: usize,
    /// Number of sequences that were timed.
    pub tried: u64,
}

/// Rounds in which holds are chosen again for the resulting order.
const ROUNDS: usize = 3;
/// Number of bisection steps to the least limit on utilisation.
const BISECTIONS: usize = 12;

/// Times a sequence of moves so that they run in parallel, with the best value of an objective.
///
/// The precedences among steps follow from what truly depends on what. All other steps may be under way together in any order and at any pace: the
/// plan stays sound under any delay, as long as every step waits for those in its `after`. Braces and releases in `moves` are ignored: holds are
/// chosen here, the fewest for the order of the drives.
///
/// Once `budget` is spent the search for better plans ends, and what is begun is finished. Once cancelled, the best finished plan is returned at
/// once. For [`Objective::Margin`] the limit on utilisation is made as small as the sequence allows. `budget` bounds the number of sequences tried;
/// the plan of `moves` itself is always made. The same arguments give the same plan.
///
/// # Errors
/// When the sequence cannot be made one move after the other, no bracing carries it, or no plan is finished when cancelled.
pub fn side_by_side(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    heading: &Heading,
    objective: Objective,
    budget: &Budget<'_>,
) -> Result<SideBySide, ScheduleError> {
    let timer = Timer::new(problem, moves, heading, budget)?;
    let limit = match objective {
        Objective::Margin => timer.least_limit()?,
        Objective::Time | Objective::Energy | Objective::Moves => problem.limits.utilisation(),
    };
    timer.timed(limit, objective)
}

/// Times a sequence of moves in parallel by a fast method: list scheduling in which a step waits for every step before it that shares a structure
/// with it or comes near it. The plan is as sound as that of [`side_by_side`], but ends later.
///
/// # Errors
/// When the sequence cannot be made one move after the other, no bracing carries it, or when cancelled.
pub fn quickly_side_by_side(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    heading: &Heading,
    interrupt: Interrupt<'_>,
) -> Result<Plan, ScheduleError> {
    list_scheduled(problem, moves, heading, 1, interrupt.only_when_cancelled())
}

/// The same with another number of sets of steps that are looked at in a structure whose modules lean on each other: the more, the fewer waits. Ends with
/// any interruption.
///
/// # Errors
/// See [`quickly_side_by_side`].
pub(crate) fn list_scheduled(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    heading: &Heading,
    most_sets: usize,
    interrupt: Interrupt<'_>,
) -> Result<Plan, ScheduleError> {
    let course = DriveSequence::new(problem, moves)?;
    let mut loads = Loads::new(&course, problem.limits.utilisation());
    let given: Vec<usize> = (0..course.drives.len()).collect();
    let holds = quick_holds(&course, &mut loads, &given, heading.status == Status::Solved, interrupt)?;
    let mut crew = Crew::new(&course, &mut loads, &given, &holds, interrupt);
    crew.most_sets = most_sets;
    let sequence: Vec<usize> = (0..crew.items.len()).collect();
    let order = arrange_quickly(&mut crew, &sequence, PAUSE_S, most_sets > 1)
        .map_err(|error| crew.explained(error))?;
    Ok(plan_of(&crew, &order.start_s, |step| order.waits_of(step), heading))
}

/// The moves of a sequence for [`quickly_side_by_side`], so that they end sooner: the trips in the order of their arrivals where `by_arrivals` asks
/// for it, and slides in pieces. In another order some load may not be carried.
///
/// # Errors
/// When the sequence cannot be made one move after the other, or when interrupted.
pub(crate) fn in_pieces(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    by_arrivals: bool,
    interrupt: Interrupt<'_>,
) -> Result<Vec<(ModuleId, Move)>, ScheduleError> {
    if !by_arrivals {
        return Ok(cut(problem, moves));
    }
    let course = DriveSequence::new(problem, moves)?;
    let order = by_arrival(&course, interrupt)?;
    let moves: Vec<(ModuleId, Move)> =
        order.iter().map(|&drive| (course.drives[drive].module, course.drives[drive].action)).collect();
    Ok(cut(problem, &moves))
}

/// Times a sequence in parallel under several limits on utilisation, from the problem's to the least that the sequence allows, as many as the budget
/// allows.
///
/// # Errors
/// See [`side_by_side`].
pub fn at_several_limits(
    problem: &Problem,
    moves: &[(ModuleId, Move)],
    heading: &Heading,
    levels: usize,
    budget: &Budget<'_>,
) -> Result<Vec<SideBySide>, ScheduleError> {
    let timer = Timer::new(problem, moves, heading, budget)?;
    let (least, most) = (timer.least_limit()?, problem.limits.utilisation());
    let mut found: Vec<SideBySide> = Vec::new();
    for level in 0..levels {
        let limit = most + (least - most) * level as f64 / (levels - 1).max(1) as f64;
        if !found.is_empty() && budget.interrupt.asked().is_some() {
            break;
        }
        match timer.timed(limit, Objective::Time) {
            Ok(one) => found.push(one),
            Err(ScheduleError::Stopped) => break,
            Err(_) => {}
        }
    }
    Ok(found)
}

struct Timer<'a> {
    course: DriveSequence<'a>,
    heading: &'a Heading,
    budget: &'a Budget<'a>,
}

impl<'a> Timer<'a> {
    fn new(
        problem: &'a Problem,
        moves: &[(ModuleId, Move)],
        heading: &'a Heading,
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

    /// The least limit on utilisation at which the sequence can be made, as a fraction of the scene's.
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
        // Only a cancellation counts until there is a plan.
        let mut interrupt = self.budget.interrupt.only_when_cancelled();
        let mut loads = Loads::new(&self.course, limit);
        let mut drives = self.given();
        let mut holds = fewest_holds(&self.course, &mut loads, &drives, self.solved(), interrupt)?;
        let mut tried = 0;
        let mut best: Option<SideBySide> = None;
        for _ in 0..ROUNDS {
            if best.is_some() && self.budget.interrupt.asked().is_some() {
                break;
            }
            let timeline = match self.improved(&mut loads, &drives, &holds, interrupt, &mut tried) {
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
                plan: timeline.plan,
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

    /// The schedule of a sequence as it is given.
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

    /// The best schedule found before the budget is spent; `interrupt` applies to the first.
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
        let order = &found.order;
        let mut by_start = found.sequence;
        by_start.sort_by(|&a, &b| order.start_s[a].total_cmp(&order.start_s[b]));
        Ok(Timeline {
            plan: plan_of(&crew, &order.start_s, |step| order.waits_of(step), self.heading),
            drives: crew.drives_of(&by_start),
            hold_moves: crew.hold_moves(),
        })
    }
}

/// The schedule of one sequence.
struct Timeline {
    plan: Plan,
    /// The drives in the order of their starts.
    drives: Vec<usize>,
    hold_moves: usize,
}
