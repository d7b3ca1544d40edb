//! What to do after a deviation: go on, refit, replan, replan for fewer slots, or stop safely.

use super::follower::{Follower, SafeStop};
use super::measured::Measured;
use super::refit::refit;
use super::settle::{Finish, Unsettled};
use super::state::Command;
use super::whereabouts::{Tube, Whereabouts};
use crate::control::Interrupt;
use crate::model::Problem;
use crate::plan::{Plan, Status};
use crate::solve::{Control, SolveOptions, solve};

/// How a new plan was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remedy {
    /// The same trips from where the crew is.
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
        /// What to do first, with steps of the plan that is being given up: interrupted hops and crosses are finished or taken back.
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
    /// What to do after measured poses or a failure, in this order: go on, refit, replan, replan for fewer slots, stop safely.
    ///
    /// A module that is caught between two hosts for good, because it is stuck there, leaves only the stop. Each new plan is checked. `control` bounds the searches. The crew must stand: call [`halt`](Follower::halt) first unless it is on course.
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
        let mut problem = Problem { start: settled.configuration.clone(), ..self.with_lost() };
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
        if settled.is_sound() && !self.is_caught_for_good() {
            if let Some((planned, rest)) = self.remainder()
                && let Some(plan) = refit(&problem, &planned, &rest, Interrupt::new(&stopped))
            {
                return Ok(follow(Remedy::Refit, problem, plan));
            }
            if let Some(plan) = solved(&problem, options, control) {
                return Ok(follow(Remedy::Replan, problem, plan));
            }
            problem.goal.slots.iter_mut().for_each(|slot| slot.optional = true);
            if let Some(plan) = solved(&problem, options, control) {
                return Ok(follow(Remedy::FewerSlots, problem, plan));
            }
        }
        Ok(Recovery::Stop(self.safe_stop()))
    }
}

fn solved(problem: &Problem, options: &SolveOptions, control: &Control<'_>) -> Option<Plan> {
    let solution = solve(problem, options, control).ok()?;
    (solution.status == Status::Solved).then_some(solution.plan)
}
