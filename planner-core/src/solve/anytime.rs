//! From a problem to the best plan that the caller has time for.
//!
//! First a solution is searched for. From then on there is an answer at any time: the first solution is timed side by side as quickly as that can be done,
//! and checked, before anything better is looked for. Then come shorter trips, other trips that end sooner side by side, and the best timing
//! of what came out; whatever is better and passes the check becomes the answer.

use super::apart::{self, Apart};
use super::control::{Control, Phase, Progress};
use super::fitted_slots::with_fitted_slots;
use super::in_pieces::{MANY, time_in_pieces};
use super::incumbent::{Candidate, Checked, Incumbent};
use super::options::SolveOptions;
use super::other_crossings::other_solutions;
use super::rearranging::rearrange;
use super::settled_slots::with_settled_slots;
use super::several_starts::SeveralStarts;
use super::solution::{Report, Solution};
use super::spare_moves::without_spare_moves;
use super::trade_offs::trade_offs;
use super::trouble::{Trouble, why_unsolved};
use crate::control::{Budget, Interrupt, Stopped};
use crate::model::{ModuleId, Problem};
use crate::motion::Move;
use crate::plan::{Plan, PlannerNote, Status, Step, Summary, UtilisationIs};
use crate::schedule::{
    Heading, ScheduleError, moves_of_trips, one_by_one, quickly_side_by_side, side_by_side,
};
use crate::search::outcome::status_of;
use crate::search::planner::validate;
use crate::search::{
    InputError, Observer, Outcome, SearchProgress, makespan_lower_bound_s, shorten, shorten_all,
};
use crate::travel::{Trip, Way};
use rayon::prelude::*;
use std::sync::Mutex;

/// Most sequences of the moves to time in the search for a better one.
const SEQUENCES: u64 = 500;

/// A larger crew whose goal comes apart is not searched as a whole.
const LARGEST_WHOLE: usize = 40;

/// Finds a plan that takes the crew from the problem's start to its goal, times its moves side by side, and has it checked.
///
/// The answer can be had at any time: `control` says when to finish or to stop, and from the first solution on there is a timed and checked plan, which
/// more time only makes better. Where the caller lets it go on to the end, the same problem and options give the same bytes, on any number of
/// threads. It works on the thread pool of `rayon` in which it is called.
///
/// # Errors
/// When the problem makes no sense: an invalid value, no goal, an unsound start, or an option out of range.
pub fn solve(
    problem: &Problem,
    options: &SolveOptions,
    control: &Control<'_>,
) -> Result<Solution, InputError> {
    problem.validate()?;
    if let Some(fitted) = with_fitted_slots(problem) {
        let solution = solve_as_given(&fitted, options, control, least_makespan_s(problem))?;
        let is_met = match solution.status {
            Status::Solved => problem.goal_is_met(&solution.plan.last(problem)),
            // That the fitted places cannot be filled is no proof for others.
            Status::ProvedImpossible => false,
            Status::BudgetSpent | Status::Cancelled => true,
        };
        if is_met {
            return Ok(solution);
        }
    }
    solve_as_given(problem, options, control, f64::INFINITY)
}

/// A lower bound on the makespan of every plan, whichever optional slots it fills.
fn least_makespan_s(problem: &Problem) -> f64 {
    match with_settled_slots(problem) {
        Some([_, fewest]) if fewest.goal.is_empty() => 0.0,
        Some([_, fewest]) => makespan_lower_bound_s(&fewest),
        None => makespan_lower_bound_s(problem),
    }
}

/// The same with the places of slots as they are given. The lower bound that the plan claims is at most `most_s`.
fn solve_as_given(
    problem: &Problem,
    options: &SolveOptions,
    control: &Control<'_>,
    most_s: f64,
) -> Result<Solution, InputError> {
    let Some([most, fewest]) = with_settled_slots(problem) else {
        return solve_all_slots(problem, options, control, most_s);
    };
    // No bound holds for all plans but that of the fewest slots.
    let least_s = least_makespan_s(problem).min(most_s);
    let solution = solve_all_slots(&most, options, control, least_s)?;
    if solution.status == Status::ProvedImpossible && !fewest.goal.is_empty() && fewest.goal != most.goal {
        return solve_all_slots(&fewest, options, control, least_s);
    }
    Ok(solution)
}

/// The same where no slot is optional. The lower bound that the plan claims is at most `least_s`.
fn solve_all_slots(
    problem: &Problem,
    options: &SolveOptions,
    control: &Control<'_>,
    least_s: f64,
) -> Result<Solution, InputError> {
    let stopped = || control.stopped();
    let budget =
        Budget { expansions: u64::MAX, bytes: options.memory_bytes, interrupt: Interrupt::new(&stopped) };
    if let Some(solution) = shape_by_shape(problem, options, control, least_s)? {
        return Ok(solution);
    }
    let watch = Watch { control, nearest_s: Mutex::new(f64::INFINITY) };
    let planner = options.strategy.planner();
    let outcome = planner.plan(problem, &options.of_search(), &budget, &watch)?;
    let nearest_s = watch.nearest_s.into_inner().unwrap_or(f64::INFINITY);
    let heading = Heading {
        planner: PlannerNote::new(options.strategy.name(), options.seed),
        status: outcome.status,
        // A goal that is proved impossible has no finite bound, and files hold finite numbers only.
        lower_bound_s: if outcome.lower_bound_s.is_finite() {
            outcome.lower_bound_s.min(least_s)
        } else {
            0.0
        },
    };
    let solver = Solver { problem, options, control, heading, outcome, nearest_s };
    Ok(match solver.outcome.status {
        Status::Solved => solver.solved(),
        Status::ProvedImpossible => solver.answer(None, None, true),
        Status::BudgetSpent | Status::Cancelled => solver.part_of_the_way(),
    })
}

/// The same for a goal of several shapes, each with its own crew; `None` where that finds no plan.
fn shape_by_shape(
    problem: &Problem,
    options: &SolveOptions,
    control: &Control<'_>,
    least_s: f64,
) -> Result<Option<Solution>, InputError> {
    let stopped = || control.stopped();
    if !apart::comes_apart(problem, options) {
        return Ok(None);
    }
    validate(problem, &options.of_search())?;
    let lower_bound_s = makespan_lower_bound_s(problem).min(least_s);
    let heading = Heading {
        planner: PlannerNote::new(options.strategy.name(), options.seed),
        status: Status::Solved,
        lower_bound_s,
    };
    let (outcome, plan) = match apart::by_shapes(problem, options, &heading, Interrupt::new(&stopped)) {
        Ok(None) if problem.modules.len() > LARGEST_WHOLE => {
            let note =
                "some shape was not formed by a crew of its own, and the whole is too large for one search";
            let outcome = Outcome::nothing(Status::BudgetSpent, lower_bound_s);
            (Outcome { note: Some(note.to_owned()), ..outcome }, None)
        }
        Ok(None) => return Ok(None),
        Ok(Some(Apart { plan, statistics })) => {
            (Outcome { statistics, ..Outcome::nothing(Status::Solved, lower_bound_s) }, Some(plan))
        }
        Err(stop) => {
            let outcome = Outcome::nothing(status_of(stop), lower_bound_s);
            (Outcome { stop: Some(stop), ..outcome }, None)
        }
    };
    let solver = |outcome| Solver { problem, options, control, heading, outcome, nearest_s: f64::INFINITY };
    let Some(plan) = plan else { return Ok(Some(solver(outcome).answer(None, None, false))) };
    let needed = Interrupt::new(&stopped).only_when_cancelled();
    let Ok(checked) = Candidate::from(plan).checked(problem, needed) else { return Ok(None) };
    Ok(Some(solver(outcome).answer(Some(checked), None, control.stopped().is_none())))
}

/// Passes on what the search tells.
struct Watch<'a> {
    control: &'a Control<'a>,
    nearest_s: Mutex<f64>,
}

impl Observer for Watch<'_> {
    fn progress(&self, progress: &SearchProgress) {
        if let Ok(mut nearest_s) = self.nearest_s.lock() {
            *nearest_s = progress.nearest_s;
        }
        self.control.tell(&Progress {
            phase: Phase::Searching,
            statistics: progress.statistics,
            nearest_s: progress.nearest_s,
            makespan_s: None,
        });
    }
}

type Moves = Vec<(ModuleId, Move)>;

/// What is known once the search is over.
struct Solver<'a> {
    problem: &'a Problem,
    options: &'a SolveOptions,
    control: &'a Control<'a>,
    heading: Heading,
    outcome: Outcome,
    nearest_s: f64,
}

impl Solver<'_> {
    /// From a first solution to the best plan there is time for.
    fn solved(self) -> Solution {
        let incumbent = Incumbent::new(self.options.objective);
        self.tell(&incumbent);
        let (first, solutions) = rayon::join(|| self.first(&incumbent), || self.solutions());
        let mut trouble = first.err();
        let sequences = self.sequences(solutions, &incumbent);
        let mut trade_offs = Vec::new();
        // Once it is to finish, a better timing is looked for only where there is none yet.
        if self.control.stopped().is_none() || trouble.is_some() {
            match sequences.and_then(|sequences| self.best_timing(&sequences)) {
                Ok((moves, checked)) => {
                    let spared = self.without_spares(&checked);
                    incumbent.offer(checked);
                    let moves = spared.map_or(moves, |(fewer, checked)| {
                        incumbent.offer(checked);
                        fewer
                    });
                    if self.options.trade_offs && !self.options.one_by_one {
                        trade_offs = self.trade_offs(&moves);
                    }
                }
                Err(error) => trouble = trouble.map(|first| first.worse(error)),
            }
            self.tell(&incumbent);
        }
        let complete = self.control.stopped().is_none();
        let solution = self.answer(incumbent.take(), trouble, complete);
        Solution { report: Report { trade_offs, ..solution.report }, ..solution }
    }

    /// The first solution as it was found, timed as quickly as that can be done, and checked; of a large crew then with slides in pieces.
    fn first(&self, incumbent: &Incumbent) -> Result<(), Trouble> {
        let stopped = || self.control.stopped();
        let moves = moves_of_trips(self.problem, &self.outcome.trips)?;
        incumbent.offer(self.quickly(&moves, Interrupt::new(&stopped).only_when_cancelled())?);
        self.tell(incumbent);
        if self.problem.modules.len() > MANY && !self.options.one_by_one {
            let bytes = self.options.memory_bytes;
            let budget = Budget { bytes, interrupt: Interrupt::new(&stopped), ..Budget::unlimited() };
            time_in_pieces(self.problem, &moves, &self.heading, &budget, |checked| {
                incumbent.offer(checked);
                self.tell(incumbent);
            });
        }
        Ok(())
    }

    /// A sequence timed as quickly as that can be done, and checked.
    fn quickly(&self, moves: &[(ModuleId, Move)], interrupt: Interrupt<'_>) -> Result<Checked, Trouble> {
        let plan = if self.options.one_by_one {
            // No time for a search for the fewest braces.
            let hurried = || Some(interrupt.asked().unwrap_or(Stopped::Spent));
            one_by_one(self.problem, moves, &self.heading, Interrupt::new(&hurried))?
        } else {
            quickly_side_by_side(self.problem, moves, &self.heading, interrupt)?
        };
        Ok(Candidate::from(plan).checked(self.problem, interrupt)?)
    }

    /// A sequence timed side by side in the order in which it is given, and checked.
    fn as_given(&self, moves: &[(ModuleId, Move)], needed: Interrupt<'_>) -> Result<Checked, Trouble> {
        let budget = Budget { expansions: 0, interrupt: needed, ..Budget::unlimited() };
        let plan = side_by_side(self.problem, moves, &self.heading, self.options.objective, &budget)?;
        Ok(Candidate::from(plan).checked(self.problem, needed)?)
    }

    /// All solutions, the one that is shortest one trip after the other first, shortened if that is asked for.
    fn solutions(&self) -> Vec<Vec<Trip>> {
        let found: Vec<Vec<Trip>> =
            std::iter::once(&self.outcome.trips).chain(&self.outcome.alternatives).cloned().collect();
        // A walk has nothing to spare: its strides need each other.
        if !self.options.shortens() || self.walks() {
            return found;
        }
        let stopped = || self.control.stopped();
        let budget = Budget { interrupt: Interrupt::new(&stopped), ..Budget::unlimited() };
        shorten_all(self.problem, found, self.options.shortening, &budget)
    }

    /// Solutions over other structures, shortened if that is asked for.
    fn other_solutions(&self, round: u64) -> Vec<Vec<Trip>> {
        let stopped = || self.control.stopped();
        let budget = Budget {
            bytes: self.options.memory_bytes,
            interrupt: Interrupt::new(&stopped),
            ..Budget::unlimited()
        };
        let found = other_solutions(self.problem, (self.options.seed, round), self.options.patience, &budget);
        let effort = if self.options.shortens() { self.options.shortening } else { 0 };
        found.par_iter().map(|trips| shorten(self.problem, trips, effort, &budget)).collect()
    }

    /// Whether a machine strides in the solution.
    fn walks(&self) -> bool {
        let strides = |action: &Move| matches!(action, Move::Stride { .. });
        self.outcome.trips.iter().any(|trip| match &trip.way {
            Way::Carrying(moves) => moves.iter().any(strides),
            Way::Alone(_) => false,
        })
    }

    /// The sequences of moves to be timed: one that ends sooner side by side than the solutions, or the solutions themselves. Better ones found on
    /// the way are offered as soon as that is worth the time.
    fn sequences(&self, solutions: Vec<Vec<Trip>>, incumbent: &Incumbent) -> Result<Vec<Moves>, Trouble> {
        let stopped = || self.control.stopped();
        if self.options.rearranges() && stopped().is_none() && !self.walks() {
            let bytes = self.options.memory_bytes;
            let budget = Budget { bytes, interrupt: Interrupt::new(&stopped), ..Budget::unlimited() };
            let (seed, patience) = (self.options.seed, self.options.patience);
            let mut offer = |moves: &[(ModuleId, Move)]| {
                if let Ok(checked) = self.as_given(moves, Interrupt::new(&stopped).only_when_cancelled()) {
                    incumbent.offer(checked);
                    self.tell(incumbent);
                }
            };
            let least_s = self.outcome.lower_bound_s;
            let problem = self.problem;
            let found = if problem.goal.gather.is_some() {
                let several = SeveralStarts { problem, seed, patience, least_s, budget: &budget };
                several.rearrange(&solutions, |round| self.other_solutions(round), &mut offer)
            } else {
                rearrange(problem, &solutions, seed, patience, least_s, &budget, &mut offer)
            };
            if let Some(moves) = found.moves {
                // Where there is no time to look for spare moves, they stay.
                let fewer = without_spare_moves(self.problem, moves.clone(), &budget).unwrap_or(moves);
                return Ok(vec![fewer]);
            }
        }
        let moves = solutions.iter().map(|trips| moves_of_trips(self.problem, trips));
        Ok(moves.collect::<Result<_, _>>()?)
    }

    /// The best timing of any of some sequences, checked, and its moves.
    fn best_timing(&self, sequences: &[Moves]) -> Result<(Moves, Checked), Trouble> {
        let stopped = || self.control.stopped();
        let budget =
            Budget { expansions: SEQUENCES, interrupt: Interrupt::new(&stopped), ..Budget::unlimited() };
        let time = |moves: &Moves| -> Result<Candidate, ScheduleError> {
            Ok(if self.options.one_by_one {
                one_by_one(self.problem, moves, &self.heading, budget.interrupt)?.into()
            } else {
                side_by_side(self.problem, moves, &self.heading, self.options.objective, &budget)?.into()
            })
        };
        let timed: Vec<Result<Candidate, ScheduleError>> = sequences.par_iter().map(time).collect();
        let mut trouble = Trouble::Stopped;
        let mut candidates: Vec<(usize, Candidate)> = Vec::new();
        for (index, timed) in timed.into_iter().enumerate() {
            match timed {
                Ok(candidate) => candidates.push((index, candidate)),
                Err(error) => trouble = trouble.worse(error.into()),
            }
        }
        let prefers = |a: &Summary, b: &Summary| self.options.objective.prefers(a, b);
        candidates.sort_by(|(_, a), (_, b)| {
            if prefers(a.summary(), b.summary()) {
                std::cmp::Ordering::Less
            } else if prefers(b.summary(), a.summary()) {
                std::cmp::Ordering::Greater
            } else {
                std::cmp::Ordering::Equal
            }
        });
        let needed = budget.interrupt.only_when_cancelled();
        for (index, candidate) in candidates {
            match candidate.checked(self.problem, needed) {
                Ok(checked) => return Ok((sequences[index].clone(), checked)),
                Err(refused) => trouble = trouble.worse(refused.into()),
            }
        }
        Err(trouble)
    }

    /// A plan without the moves that are of no use in the order in which it makes them; `None` if there are none, or no time.
    fn without_spares(&self, checked: &Checked) -> Option<(Moves, Checked)> {
        let rearranged = self.options.rearranges() && !self.walks();
        let stopped = || self.control.stopped();
        if !rearranged || stopped().is_some() {
            return None;
        }
        let mut steps: Vec<&Step> = checked.plan.steps.iter().filter(|step| step.action.shakes()).collect();
        steps.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        let moves: Moves = steps.iter().map(|step| (step.module, step.action)).collect();
        let budget = Budget { interrupt: Interrupt::new(&stopped), ..Budget::unlimited() };
        let fewer = without_spare_moves(self.problem, moves.clone(), &budget).ok()?;
        if fewer.len() == moves.len() {
            return None;
        }
        self.best_timing(std::slice::from_ref(&fewer)).ok()
    }

    fn trade_offs(&self, moves: &Moves) -> Vec<Plan> {
        let stopped = || self.control.stopped();
        let budget =
            Budget { expansions: SEQUENCES, interrupt: Interrupt::new(&stopped), ..Budget::unlimited() };
        trade_offs(self.problem, moves, &self.heading, &budget)
    }

    /// As far as the search came, timed and checked.
    fn part_of_the_way(self) -> Solution {
        let stopped = || self.control.stopped();
        let needed = Interrupt::new(&stopped).only_when_cancelled();
        let timed = (!self.outcome.trips.is_empty())
            .then(|| moves_of_trips(self.problem, &self.outcome.trips).map_err(Trouble::from))
            .map(|moves| self.quickly(&moves?, needed));
        self.answer(timed.and_then(Result::ok), None, false)
    }

    fn answer(self, checked: Option<Checked>, trouble: Option<Trouble>, complete: bool) -> Solution {
        let Self { problem, options: _, control, heading, outcome, nearest_s } = self;
        let is_cancelled = control.stopped_now().is_some();
        let (status, unsolved) = match outcome.status {
            Status::Solved if checked.is_some() => (Status::Solved, None),
            Status::Solved => {
                let status = if is_cancelled { Status::Cancelled } else { Status::BudgetSpent };
                (status, Some(trouble.unwrap_or(Trouble::Stopped).unsolved(outcome.trips.len())))
            }
            Status::ProvedImpossible => (outcome.status, None),
            Status::BudgetSpent | Status::Cancelled => (outcome.status, Some(why_unsolved(&outcome))),
        };
        let holds = checked.as_ref().and_then(|checked| checked.holds);
        let plan = checked.map_or_else(|| empty_plan(&heading, status), |checked| checked.plan);
        let mut solution = Solution {
            status,
            plan,
            proof: outcome.proof,
            report: Report {
                lower_bound_s: outcome.lower_bound_s,
                unsolved,
                complete,
                hold_moves: holds.map(|(count, _)| count),
                hold_moves_at_least: holds.map_or(0, |(_, at_least)| at_least),
                trade_offs: Vec::new(),
                stoppers: outcome.stoppers,
                nearest_s: nearest_s.is_finite().then_some(nearest_s),
                note: outcome.note.filter(|_| outcome.stop.is_some() || outcome.status == Status::Solved),
            },
            statistics: outcome.statistics,
        };
        solution.plan.reason = solution.reason(problem);
        solution
    }

    fn tell(&self, incumbent: &Incumbent) {
        self.control.tell(&Progress {
            phase: Phase::Improving,
            statistics: self.outcome.statistics,
            nearest_s: 0.0,
            makespan_s: incumbent.makespan_s(),
        });
    }
}

/// A plan without steps.
fn empty_plan(heading: &Heading, status: Status) -> Plan {
    let summary = Summary { lower_bound_s: heading.lower_bound_s, ..Summary::default() };
    Plan {
        planner: heading.planner.clone(),
        status,
        reason: None,
        utilisation_is: UtilisationIs::Exact,
        steps: Vec::new(),
        summary,
    }
}
