//! Builds the course of a plan in time.

use super::{Leg, Span};
use crate::geometry::Sweep;
use crate::math::{DQuat, DVec3, tolerance};
use crate::model::{Configuration, Hold, ModuleId, Placement, Problem};
use crate::motion::{Attached, Move, MoveError, apply, sweeps_of};
use crate::plan::{Plan, Step};

/// Why a plan has no course.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CourseError {
    /// A time that is negative or not a number.
    #[error(
        "step {step} starts at {start_s} s and lasts {duration_s} s; both must be finite and not negative"
    )]
    NoTime {
        /// Index of the step.
        step: usize,
        /// Its start, in seconds.
        start_s: f64,
        /// Its duration, in seconds.
        duration_s: f64,
    },
}

/// The course of a plan in time. Steps that cannot begin are omitted and listed.
#[derive(Clone, Debug)]
pub struct Course<'a> {
    /// The problem.
    pub problem: &'a Problem,
    /// The plan.
    pub plan: &'a Plan,
    /// The legs of every module, in the order of time.
    pub legs: Vec<Vec<Leg>>,
    /// The spans, without gaps, from 0 to the end of the last step; the last one is the rest that follows.
    pub spans: Vec<Span>,
    /// Steps that could not begin, with the cause.
    pub left_out: Vec<(usize, MoveError)>,
}

impl<'a> Course<'a> {
    /// The course of a plan.
    ///
    /// The plan need not be sound. Complexity: events times steps, and quadratic in the modules for each step.
    ///
    /// # Errors
    /// When a start or a duration is negative or not finite.
    pub fn new(problem: &'a Problem, plan: &'a Plan) -> Result<Self, CourseError> {
        for (step, Step { start_s, duration_s, .. }) in plan.steps.iter().enumerate() {
            let (start_s, duration_s) = (*start_s, *duration_s);
            let makes_sense = |v: f64| v.is_finite() && v >= 0.0;
            if !makes_sense(start_s) || !makes_sense(duration_s) {
                return Err(CourseError::NoTime { step, start_s, duration_s });
            }
        }
        let mut builder = Builder {
            course: Self {
                problem,
                plan,
                legs: vec![Vec::new(); problem.modules.len()],
                spans: Vec::new(),
                left_out: Vec::new(),
            },
            now: problem.start.clone(),
            begun: vec![false; plan.steps.len()],
            active: Vec::new(),
        };
        builder.run();
        Ok(builder.course)
    }

    /// End of the last step, in seconds.
    #[must_use]
    pub fn end_s(&self) -> f64 {
        self.spans.last().map_or(0.0, |span| span.to_s)
    }

    /// Centre (metres) and orientation of a module in the world frame at an instant, also in the middle of a hop.
    #[must_use]
    pub fn pose(&self, module: ModuleId, at_s: f64) -> (DVec3, DQuat) {
        let legs = &self.legs[module.index()];
        let begun = legs.partition_point(|leg| leg.from_s <= at_s);
        match begun.checked_sub(1) {
            Some(last) => legs[last].pose(at_s),
            None => {
                let place = self.problem.start.get(module);
                (place.position, place.orientation)
            }
        }
    }
}

/// A step under way.
struct Active {
    step: usize,
    before: Configuration,
    group_end: Vec<(ModuleId, Placement)>,
    /// Pairs by what it touches when it starts; what it touches at its end is known only then.
    attached: Attached,
}

struct Builder<'a> {
    course: Course<'a>,
    now: Configuration,
    begun: Vec<bool>,
    active: Vec<Active>,
}

impl Builder<'_> {
    fn run(&mut self) {
        let steps = &self.course.plan.steps;
        let mut instants: Vec<f64> =
            std::iter::once(0.0).chain(steps.iter().flat_map(|s| [s.start_s, s.end_s()])).collect();
        instants.sort_by(f64::total_cmp);
        instants.dedup_by(|late, early| *late - *early <= tolerance::TIME_S);
        for (index, &instant) in instants.iter().enumerate() {
            self.end_steps(instant);
            self.start_steps(instant);
            let next = instants.get(index + 1).copied();
            if next.is_none() {
                self.end_steps(f64::INFINITY);
            }
            self.push_span(instant, next.unwrap_or(instant));
        }
    }

    fn end_steps(&mut self, instant: f64) {
        let plan = self.course.plan;
        let (ended, active): (Vec<_>, Vec<_>) = std::mem::take(&mut self.active)
            .into_iter()
            .partition(|a| plan.steps[a.step].end_s() <= instant + tolerance::TIME_S);
        self.active = active;
        for &(id, place) in ended.iter().flat_map(|active| &active.group_end) {
            *self.now.get_mut(id) = place;
        }
        for Active { step, before, .. } in ended {
            let Step { module, action, .. } = &plan.steps[step];
            let attached = Attached::new(self.course.problem, *module, action, &before, &self.now);
            for span in &mut self.course.spans {
                if let Some(index) = span.steps.iter().position(|known| *known == step) {
                    span.attached[index] = attached.clone();
                }
            }
        }
    }

    fn start_steps(&mut self, instant: f64) {
        let (problem, plan) = (self.course.problem, self.course.plan);
        for (index, step) in plan.steps.iter().enumerate() {
            if self.begun[index] || step.start_s > instant + tolerance::TIME_S {
                continue;
            }
            self.begun[index] = true;
            let before = self.now.clone();
            let after = match apply(problem, &before, step.module, &step.action) {
                Ok(after) => after,
                Err(error) => {
                    self.course.left_out.push((index, error));
                    continue;
                }
            };
            let members = match step.action {
                Move::Yaw { .. } | Move::Slide { .. } | Move::Stride { .. } => {
                    before.carried_with(step.module)
                }
                _ => vec![step.module],
            };
            if step.duration_s <= tolerance::TIME_S {
                self.now = after;
                continue;
            }
            for &member in &members {
                if let Some(sweep) = whole_sweep(problem, &before, step, &after, member) {
                    let start = *before.get(member);
                    let tilt = matches!(step.action, Move::Cross { .. })
                        .then(|| turn_between(&start, after.get(member)))
                        .flatten();
                    let leg =
                        Leg { step: index, from_s: step.start_s, to_s: step.end_s(), start, sweep, tilt };
                    self.course.legs[member.index()].push(leg);
                }
            }
            let attached = Attached::new(problem, step.module, &step.action, &before, &after);
            let group_end = members.iter().map(|&m| (m, *after.get(m))).collect();
            self.active.push(Active { step: index, before, group_end, attached });
        }
    }

    fn push_span(&mut self, from_s: f64, to_s: f64) {
        let plan = self.course.plan;
        let mut begin = self.now.clone();
        let mut hop_ends = Vec::new();
        for active in &self.active {
            let step = &plan.steps[active.step];
            match step.action {
                Move::Brace | Move::Release => begin.get_mut(step.module).hold = Hold::Rolling,
                Move::Hop { .. } | Move::Cross { .. } => hop_ends.extend(active.group_end.iter().copied()),
                Move::Yaw { .. } | Move::Slide { .. } | Move::Stride { .. } => {}
            }
        }
        let span = Span {
            from_s,
            to_s,
            steps: self.active.iter().map(|active| active.step).collect(),
            begin,
            attached: self.active.iter().map(|active| active.attached.clone()).collect(),
            hop_ends,
        };
        let there = span.stretch(self.course.problem, plan).at(1.0);
        for id in self.course.problem.module_ids() {
            let place = self.now.get_mut(id);
            (place.position, place.orientation) = (there.get(id).position, there.get(id).orientation);
        }
        self.course.spans.push(span);
    }
}

/// The rigid motion of a step, including the pivot of a hop about the module's centre.
fn whole_sweep(
    problem: &Problem,
    before: &Configuration,
    step: &Step,
    after: &Configuration,
    member: ModuleId,
) -> Option<Sweep> {
    if !matches!(step.action, Move::Hop { .. }) {
        let sweeps = sweeps_of(problem, before, step.module, &step.action)?;
        return Some(sweeps.of(member)).filter(|sweep| !sweep.is_nothing());
    }
    let (old, new) = (before.get(step.module), after.get(step.module));
    turn_between(old, new).map(|(axis, angle)| Sweep::Turn { point: old.position, axis, angle })
}

/// The least turn from one orientation to another, as a unit axis and an angle; `None` where they are the same.
fn turn_between(old: &Placement, new: &Placement) -> Option<(DVec3, f64)> {
    let turn = new.orientation * old.orientation.conjugate();
    let turn = if turn.w < 0.0 { -turn } else { turn };
    let (axis, angle) = turn.to_axis_angle();
    (angle > 0.0).then_some((axis, angle))
}
