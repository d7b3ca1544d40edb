//! What to do after a deviation: go on, refit, replan, replan for fewer slots, or stop safely.

use super::follower::{Follower, SafeStop, completed};
use super::measured::Measured;
use super::refit::refit;
use super::settle::{Finish, Unsettled};
use super::state::Command;
use super::whereabouts::{Tube, Whereabouts};
use crate::control::{Interrupt, Stopped};
use crate::model::Problem;
use crate::plan::{Plan, Status};
use crate::solve::{Control, Signal, Solution, SolveOptions, Unsolved, solve};
use std::sync::atomic::{AtomicU64, Ordering};

/// How a new plan was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remedy {
    /// The same trips from where the crew is; or, where that does not work and the crew is on course, from where it should be.
    Refit,
    /// A new search.
    Replan,
    /// A new search, for as many slots as the crew still fills.
    FewerSlots,
}

/// What to do after a deviation.
#[derive(Clone, Debug, PartialEq)]
pub enum Recovery {
    /// Go on: the crew is on course.
    GoOn,
    /// Follow another plan, once the crew stands as this problem begins.
    Follow {
        /// How the plan was made.
        remedy: Remedy,
        /// What to do first, with steps of the plan that is being given up: interrupted hops, crosses and strides are finished or taken back.
        first: Vec<Command>,
        /// The problem from where the crew is.
        problem: Box<Problem>,
        /// The plan for it.
        plan: Box<Plan>,
    },
    /// Stop safely: there is no plan from here.
    Stop(SafeStop),
}

impl Follower<'_> {
    /// What to do after measured poses or a failure, in this order: go on, refit, replan, replan for fewer slots where something is lost, stop safely.
    /// The last two searches take turns, each longer than the one before, so that neither takes all the time of the other.
    ///
    /// A module that is caught on its way for good, because it is stuck there, leaves only the stop; so does a move on whose way the crew can no longer carry
    /// its load. Each new plan is checked. `control` bounds the searches. The crew must stand: call [`halt`](Follower::halt) first unless it is on course.
    ///
    /// # Errors
    /// When the poses make no sense or contradict the model.
    pub fn recover(
        &self,
        measured: &[Measured],
        tube: Tube,
        options: &SolveOptions,
        control: &Control<'_>,
    ) -> Result<Recovery, Unsettled> {
        let Whereabouts { settled, beyond } = self.whereabouts(measured, tube)?;
        if beyond.is_empty() && !self.state().halted {
            return Ok(Recovery::GoOn);
        }
        let problem = Problem { start: settled.configuration.clone(), ..self.with_lost() };
        let ended = |end: &Finish| {
            let (step, _) = self.goes_over(end.module)?;
            Some(if end.goes_on { Command::Finish { step } } else { Command::TakeBack { step } })
        };
        let follow = |remedy, problem: Problem, plan| Recovery::Follow {
            remedy,
            first: settled.hops.iter().filter_map(ended).collect(),
            problem: Box::new(problem),
            plan: Box::new(plan),
        };
        let stopped = || control.stopped();
        if settled.is_sound() && !self.is_caught_for_good() && self.caught_findings_here().is_empty() {
            if let Some((planned, rest)) = self.rest_after(&settled.hops) {
                if let Some(plan) = refit(&problem, &planned, &rest, Interrupt::new(&stopped)) {
                    return Ok(follow(Remedy::Refit, problem, plan));
                }
                // On course it may as well be where it should be.
                if beyond.is_empty()
                    && let Some((plan, report)) = completed(&planned, rest)
                    && report.is_sound()
                {
                    return Ok(follow(Remedy::Refit, planned, plan));
                }
            }
            let mut goals = vec![(Remedy::Replan, problem.clone())];
            if !self.state().lost.is_empty() && !problem.goal.slots.is_empty() {
                goals.push((Remedy::FewerSlots, with_fewer_slots(problem)));
            }
            if let Some((remedy, problem, plan)) = first_solved(goals, options, control) {
                return Ok(follow(remedy, problem, plan));
            }
        }
        Ok(Recovery::Stop(self.safe_stop()))
    }
}

/// The same crew with the goal to fill as many slots as it can.
fn with_fewer_slots(mut problem: Problem) -> Problem {
    problem.goal.slots.iter_mut().for_each(|slot| slot.optional = true);
    problem
}

/// Questions of the first search for each goal.
const FIRST_QUESTIONS: u64 = 20_000;

/// The first of some goals for which there is a plan. Each in turn is searched for a while, and then for four times as long, so that a goal out of reach
/// does not take all the time of the next.
fn first_solved(
    mut goals: Vec<(Remedy, Problem)>,
    options: &SolveOptions,
    control: &Control<'_>,
) -> Option<(Remedy, Problem, Plan)> {
    let mut questions = FIRST_QUESTIONS;
    loop {
        let is_last = goals.len() == 1;
        let mut left = Vec::with_capacity(goals.len());
        for (remedy, problem) in goals {
            let asked = AtomicU64::new(0);
            let signal = || match control.stopped() {
                Some(Stopped::Cancelled) => Signal::StopNow,
                Some(_) => Signal::Finish,
                None if is_last || asked.fetch_add(1, Ordering::Relaxed) < questions => Signal::GoOn,
                None => Signal::Finish,
            };
            let solution = solve(&problem, options, &Control::new(&signal)).ok();
            match solution {
                Some(solution) if solution.status == Status::Solved => {
                    return Some((remedy, problem, solution.plan));
                }
                Some(solution) if !is_last && is_out_of_time(&solution) => left.push((remedy, problem)),
                _ => {}
            }
        }
        if left.is_empty() || control.stopped().is_some() {
            return None;
        }
        (goals, questions) = (left, questions.saturating_mul(4));
    }
}

/// Whether more time might have found a plan.
const fn is_out_of_time(solution: &Solution) -> bool {
    matches!(solution.status, Status::BudgetSpent)
        && matches!(
            solution.report.unsolved,
            None | Some(Unsolved::OutOfTime | Unsolved::NotCheckedInTime { .. })
        )
}
