//! Follows a plan: what may start now, where the crew should be, how it stops safely, and what is left of the plan.

mod safe_stop;

pub use safe_stop::SafeStop;

use super::settle::Finish;
use super::state::{Command, Event, FollowState, Part, StepState};
use crate::check::{CheckReport, Finding, check_and_complete, check_rules};
use crate::control::Interrupt;
use crate::model::{Body, Configuration, Hold, Invalid, ModuleId, Problem};
use crate::motion::{Move, Rule, Stretch, Underway, apply, duration_s, is_sound_at_rest};
use crate::plan::{Plan, Step};
use crate::schedule::{Network, PAUSE_S, ScheduleError, first_step_that_needs_the_clock};
use std::borrow::Cow;

/// Why a plan cannot be followed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Unfollowable {
    /// Values make no sense.
    #[error(transparent)]
    Invalid(#[from] Invalid),
    /// The plan breaks a rule.
    #[error("the plan is not sound: {0}")]
    NotSound(Finding),
    /// A step is sound only at its time.
    #[error("step {0} is sound only at its time: its `after` does not name all that it has to wait for")]
    NeedsTheClock(usize),
    /// The plan cannot be replayed.
    #[error("the plan cannot be replayed: {0}")]
    Schedule(String),
    /// The state is that of another plan.
    #[error("the state has {found} steps and the plan {asked}: it is the state of another plan")]
    OtherPlan {
        /// Steps in the state.
        found: usize,
        /// Steps in the plan.
        asked: usize,
    },
    /// An event that cannot have happened.
    #[error("{0}")]
    Impossible(String),
}

impl From<ScheduleError> for Unfollowable {
    fn from(error: ScheduleError) -> Self {
        Self::Schedule(error.to_string())
    }
}

/// Follows a plan without a clock: the caller reports events, and is told what to do.
///
/// The plan's `after` is what makes it safe: every order and overlap that it allows is proven sound, so delays cost only time. A follower is a value;
/// its [`state`](Self::state) can be written and read back, and [`Follower::resume`] goes on from there.
#[derive(Clone, Debug)]
pub struct Follower<'a> {
    problem: Cow<'a, Problem>,
    plan: Cow<'a, Plan>,
    state: FollowState,
    /// The steps in the order of their starts.
    order: Vec<usize>,
}

impl<'a> Follower<'a> {
    /// Follows a plan from its beginning. The plan is held against every rule; the figures that it claims are not compared, which is what
    /// [`check_plan`](crate::check_plan) is for.
    ///
    /// # Errors
    /// When the plan is not sound, or depends on its clock.
    pub fn new(problem: &'a Problem, plan: &'a Plan) -> Result<Self, Unfollowable> {
        let state =
            FollowState { steps: vec![StepState::Waiting; plan.steps.len()], ..FollowState::default() };
        Self::resume(problem, plan, state)
    }

    /// Follows a plan from a state that was written earlier.
    ///
    /// # Errors
    /// As [`new`](Self::new), and when the state is that of another plan.
    pub fn resume(problem: &'a Problem, plan: &'a Plan, state: FollowState) -> Result<Self, Unfollowable> {
        plan.validate(problem)?;
        fits(problem, plan, &state)?;
        let report = check_rules(problem, plan, Interrupt::NEVER)
            .map_err(|_| Unfollowable::Schedule("it was stopped".to_owned()))?;
        // A plan that leads part of the way can be followed too.
        if let Some(finding) = report.findings.into_iter().find(|finding| finding.rule != Rule::Goal) {
            return Err(Unfollowable::NotSound(finding));
        }
        if let Some(step) = first_step_that_needs_the_clock(problem, plan, Interrupt::NEVER)? {
            return Err(Unfollowable::NeedsTheClock(step));
        }
        let mut order: Vec<usize> = (0..plan.steps.len()).collect();
        order.sort_by(|&a, &b| plan.steps[a].start_s.total_cmp(&plan.steps[b].start_s));
        Ok(Self { problem: Cow::Borrowed(problem), plan: Cow::Borrowed(plan), state, order })
    }

    /// The same plan, which is proven already, followed from another state.
    ///
    /// # Errors
    /// When the state is that of another plan, or cannot be.
    pub fn with_state(&self, state: FollowState) -> Result<Self, Unfollowable> {
        fits(&self.problem, &self.plan, &state)?;
        Ok(Self { state, ..self.clone() })
    }

    /// The same with a problem and a plan of its own, to keep for as long as one likes.
    #[must_use]
    pub fn into_owned(self) -> Follower<'static> {
        Follower {
            problem: Cow::Owned(self.problem.into_owned()),
            plan: Cow::Owned(self.plan.into_owned()),
            state: self.state,
            order: self.order,
        }
    }

    /// How far the plan has come.
    #[must_use]
    pub const fn state(&self) -> &FollowState {
        &self.state
    }

    /// Whether all steps have ended.
    #[must_use]
    pub fn is_done(&self) -> bool {
        self.state.steps.iter().all(|state| *state == StepState::Done)
    }

    /// Whether some step is under way.
    #[must_use]
    pub fn is_moving(&self) -> bool {
        self.under_way().next().is_some()
    }

    /// The steps that may start now, in the order of their planned starts.
    #[must_use]
    pub fn may_start(&self) -> Vec<usize> {
        if self.state.halted {
            return Vec::new();
        }
        self.order.iter().copied().filter(|&step| self.is_ready(step)).collect()
    }

    fn is_ready(&self, step: usize) -> bool {
        let is_done = |before: &usize| self.state.steps[*before] == StepState::Done;
        self.state.steps[step] == StepState::Waiting && self.plan.steps[step].after.iter().all(is_done)
    }

    /// Takes in an event; tells what to do. A step that may start is named every time until it is reported as started.
    ///
    /// # Errors
    /// When the event cannot have happened: a step that had to wait, or has not begun; a share that is no share. The state is then as it was.
    pub fn note(&mut self, event: Event) -> Result<Vec<Command>, Unfollowable> {
        let impossible = |words: String| Err(Unfollowable::Impossible(words));
        if let Event::Started { step }
        | Event::Share { step, .. }
        | Event::Ended { step }
        | Event::Stalled { step, .. } = event
        {
            let Some(state) = self.state.steps.get(step) else {
                return impossible(format!("the plan has no step {step}"));
            };
            let starts = matches!(event, Event::Started { .. });
            if starts && (self.state.halted || !self.is_ready(step)) {
                return impossible(format!(
                    "step {step} has started, and it was not to: it is {state:?}, or waits for others"
                ));
            }
            if !starts && !matches!(state, StepState::UnderWay(_)) {
                return impossible(format!("step {step} is not under way: it is {state:?}"));
            }
        }
        if let Event::Share { step, share } | Event::Stalled { step, share } = event
            && !(0.0..=1.0).contains(&share)
        {
            return impossible(format!(
                "step {step} is said to have come to {share} of its move; a share is from 0 to 1"
            ));
        }
        match event {
            Event::Started { step } => self.state.steps[step] = StepState::UnderWay(0.0),
            Event::Share { step, share } => self.state.steps[step] = StepState::UnderWay(share),
            Event::Ended { step } => self.state.steps[step] = StepState::Done,
            Event::Stalled { step, share } => self.state.steps[step] = StepState::Stalled(share),
            Event::Lost { module, part } => {
                if module >= self.problem.modules.len() {
                    return impossible(format!("the crew has no module {module}"));
                }
                self.state.lost.push((module, part));
            }
        }
        if matches!(event, Event::Stalled { .. } | Event::Lost { .. }) {
            return Ok(self.halt().commands);
        }
        Ok(self.may_start().into_iter().map(|step| Command::Start { step }).collect())
    }

    /// Lets no further step start; tells how to stop safely.
    pub fn halt(&mut self) -> SafeStop {
        self.state.halted = true;
        self.safe_stop()
    }

    /// Where the crew is if it does as planned: steps that have ended have, and those under way are as far as was reported. Bonds whose hold is being
    /// changed are rolling, and modules in a hop, a cross or a stride are still where it began.
    #[must_use]
    pub fn expected(&self) -> Configuration {
        let mut now = self.problem.start.clone();
        for &index in &self.order {
            let Step { module, action, .. } = self.plan.steps[index];
            let share = match self.state.steps[index] {
                StepState::Waiting => continue,
                StepState::Done => {
                    // The plan is sound, so its steps can be made.
                    now = apply(&self.problem, &now, module, &action).unwrap_or(now);
                    continue;
                }
                StepState::UnderWay(share) | StepState::Stalled(share) => share,
            };
            match action {
                Move::Brace | Move::Release => now.get_mut(module).hold = Hold::Rolling,
                // Until it has ended it is where it began.
                Move::Hop { .. } | Move::Cross { .. } | Move::Stride { .. } => {}
                Move::Yaw { .. } | Move::Slide { .. } => {
                    let underway = Underway { mover: module, action, share };
                    now = Stretch::new(&self.problem, now, &[underway], &[]).at(1.0);
                }
            }
        }
        now
    }

    /// The steps under way, in the order of their starts.
    fn under_way(&self) -> impl Iterator<Item = usize> + '_ {
        let is_under_way = |step: &usize| matches!(self.state.steps[*step], StepState::UnderWay(_));
        self.order.iter().copied().filter(is_under_way)
    }

    /// The problem with what has failed.
    #[must_use]
    pub fn with_lost(&self) -> Problem {
        let mut problem = self.problem.as_ref().clone();
        for &(module, part) in &self.state.lost {
            let module = &mut problem.modules[module];
            match part {
                Part::Drive => module.lost.drive = true,
                Part::Yaw => module.lost.yaw = true,
                Part::Cup => module.lost.cup = true,
                Part::All => module.stuck = true,
            }
        }
        problem.assign_classes();
        problem
    }

    /// The rest of the plan from where the crew is if it does as planned: a problem that begins there, and the plan of what is left. Steps under way
    /// have the rest of their moves, hops begin anew. `None` where the rest cannot be timed.
    #[must_use]
    pub fn remainder(&self) -> Option<(Problem, Plan)> {
        let (problem, plan) = self.rest()?;
        let (plan, _) = completed(&problem, plan)?;
        Some((problem, plan))
    }

    /// The same without any figures, once interrupted hops, crosses and strides have ended or have been taken back.
    pub(super) fn rest_after(&self, ends: &[Finish]) -> Option<(Problem, Plan)> {
        let mut after = self.clone();
        for end in ends {
            let (step, _) = self.goes_over(end.module)?;
            after.state.steps[step] = if end.goes_on { StepState::Done } else { StepState::Waiting };
        }
        after.rest()
    }

    /// The same without any figures: moves, starts and what they wait for.
    fn rest(&self) -> Option<(Problem, Plan)> {
        let start = self.expected();
        let is_left = |step: usize| match self.state.steps[step] {
            StepState::Done => false,
            StepState::Waiting => true,
            StepState::UnderWay(_) | StepState::Stalled(_) => self.plan.steps[step].action != Move::Release,
        };
        let left: Vec<usize> = (0..self.plan.steps.len()).filter(|step| is_left(*step)).collect();
        let mut steps: Vec<Step> = Vec::with_capacity(left.len());
        for &index in &left {
            let mut step = self.plan.steps[index].clone();
            if let StepState::UnderWay(share) | StepState::Stalled(share) = self.state.steps[index] {
                step.action = rest_of(step.action, share);
                let hold = start.get(step.module).hold;
                step.duration_s = duration_s(&self.problem, step.module, hold, &step.action);
            }
            step.after = step.after.iter().filter_map(|before| left.binary_search(before).ok()).collect();
            steps.push(step);
        }
        let durations: Vec<f64> = steps.iter().map(|step| step.duration_s).collect();
        let after: Vec<Vec<usize>> = steps.iter().map(|step| step.after.clone()).collect();
        let network = Network::new(&durations, &after, PAUSE_S)?;
        for (step, start_s) in steps.iter_mut().zip(network.earliest_s) {
            step.start_s = start_s;
        }
        let problem = Problem { start, ..self.with_lost() };
        Some((problem, Plan { steps, ..self.plan.as_ref().clone() }))
    }

    /// Whether the crew stands soundly where it is if it does as planned.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        is_sound_at_rest(&self.with_lost(), &self.expected())
    }

    /// The problem that the plan is for.
    #[must_use]
    pub fn problem(&self) -> &Problem {
        &self.problem
    }

    /// The plan that is followed.
    #[must_use]
    pub fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The hop, the cross or the stride that a module is in the middle of: its step, and where it leads.
    pub(super) fn goes_over(&self, module: ModuleId) -> Option<(usize, Body)> {
        let begun = |index: &usize| {
            matches!(self.state.steps[*index], StepState::UnderWay(_) | StepState::Stalled(_))
        };
        let own = |index: &usize| self.plan.steps[*index].module == module;
        let leads = |index: usize| self.plan.steps[index].action.new_host().map(|to| (index, to));
        (0..self.plan.steps.len()).filter(begun).filter(own).find_map(leads)
    }
}

/// Whether a state can be one of a plan.
fn fits(problem: &Problem, plan: &Plan, state: &FollowState) -> Result<(), Unfollowable> {
    let (found, asked) = (state.steps.len(), plan.steps.len());
    if found != asked {
        return Err(Unfollowable::OtherPlan { found, asked });
    }
    if let Some(words) = nonsense(plan, state) {
        return Err(Unfollowable::Impossible(words));
    }
    match state.lost.iter().find(|(module, _)| *module >= problem.modules.len()) {
        Some((module, _)) => Err(Unfollowable::Impossible(format!("the crew has no module {module}"))),
        None => Ok(()),
    }
}

/// What cannot be in a state of a plan, in words.
fn nonsense(plan: &Plan, state: &FollowState) -> Option<String> {
    let is_done = |before: &usize| state.steps.get(*before) == Some(&StepState::Done);
    plan.steps.iter().zip(&state.steps).enumerate().find_map(|(index, (step, own))| match own {
        StepState::UnderWay(share) | StepState::Stalled(share) if !(0.0..=1.0).contains(share) => {
            Some(format!("step {index} has come to {share} of its move; a share is from 0 to 1"))
        }
        StepState::Waiting => None,
        _ if !step.after.iter().all(is_done) => {
            Some(format!("step {index} has begun, and not all that it waits for has ended"))
        }
        _ => None,
    })
}

/// What is left of a move after a share of it.
fn rest_of(action: Move, share: f64) -> Move {
    match action {
        Move::Yaw { angle_rad } => Move::Yaw { angle_rad: angle_rad * (1.0 - share) },
        Move::Slide { travel_m, curvature_per_m } => {
            Move::Slide { travel_m: travel_m * (1.0 - share), curvature_per_m }
        }
        whole => whole,
    }
}

/// A plan with all its figures and ends computed, and the report of its check. `None` where it cannot be checked.
pub(super) fn completed(problem: &Problem, mut plan: Plan) -> Option<(Plan, CheckReport)> {
    let report = check_and_complete(problem, &mut plan, Interrupt::NEVER).ok()?;
    Some((plan, report))
}
