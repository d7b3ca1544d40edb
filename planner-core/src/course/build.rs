//! Builds the course of a plan in time.

use super::tracking::{Event, Tracking};
use super::{Leg, Span};
use crate::geometry::Sweep;
use crate::math::{DQuat, DVec3, tolerance};
use crate::model::{Body, Configuration, Hold, ModuleId, Placement, Problem};
use crate::motion::structure_utilisations::Gravity;
use crate::motion::{Attached, Move, MoveError, apply, sweeps_of};
use crate::plan::{Plan, Status, Step};

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

/// What a module stands on and how it holds on, from an instant on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// The instant, in seconds.
    pub from_s: f64,
    /// What it stands on.
    pub host: Body,
    /// The hold that counts: rolling while a brace is under way.
    pub hold: Hold,
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
    /// What every module stands on, in the order of time.
    pub stands: Vec<Vec<Stand>>,
    /// The spans of all structures, in the order of their beginnings. Those of a module follow each other without gaps from 0 to the end of the last step.
    pub spans: Vec<Span>,
    /// The instants at which steps begin or end, from 0 on.
    pub instants: Vec<f64>,
    /// How gravity counts from each of the instants on.
    pub gravity: Vec<Gravity>,
    /// Steps that could not begin, with the cause.
    pub left_out: Vec<(usize, MoveError)>,
    /// What each step moves, and what it is attached to; none of those that take no time.
    pub(super) attached: Vec<Option<Attached>>,
}

impl<'a> Course<'a> {
    /// The course of a plan.
    ///
    /// The plan need not be sound. Complexity: for each step its structures, and one pass through the crew for each module that it moves.
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
        let mut order: Vec<usize> = (0..plan.steps.len()).collect();
        order.sort_by(|&a, &b| plan.steps[b].start_s.total_cmp(&plan.steps[a].start_s).then(b.cmp(&a)));
        let builder = Builder {
            course: Self {
                problem,
                plan,
                legs: vec![Vec::new(); problem.modules.len()],
                stands: vec![Vec::new(); problem.modules.len()],
                spans: Vec::new(),
                instants: Vec::new(),
                gravity: Vec::new(),
                left_out: Vec::new(),
                attached: vec![None; plan.steps.len()],
            },
            now: problem.start.clone(),
            to_begin: order,
            active: Vec::new(),
        };
        Ok(builder.run())
    }

    /// End of the last step, in seconds.
    #[must_use]
    pub fn end_s(&self) -> f64 {
        self.instants.last().copied().unwrap_or(0.0)
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

    /// What a module stands on at an instant.
    #[must_use]
    pub fn stand(&self, module: ModuleId, at_s: f64) -> Option<Stand> {
        let stands = &self.stands[module.index()];
        let begun = stands.partition_point(|stand| stand.from_s <= at_s);
        stands.get(begun.checked_sub(1)?).copied()
    }

    /// The places of all modules at an instant, with the holds that count.
    #[must_use]
    pub fn configuration(&self, at_s: f64) -> Configuration {
        let place = |module: ModuleId| {
            let (position, orientation) = self.pose(module, at_s);
            let place = Placement { position, orientation, ..*self.problem.start.get(module) };
            self.stand(module, at_s).map_or(place, |stand| Placement {
                host: stand.host,
                hold: stand.hold,
                ..place
            })
        };
        Configuration::new(self.problem.module_ids().map(place).collect())
    }
}

/// A step under way.
struct Active {
    step: usize,
    group_end: Vec<(ModuleId, Placement)>,
}

struct Builder<'a> {
    course: Course<'a>,
    /// The places of all at the instant that is reached.
    now: Configuration,
    /// The steps that have not begun; the first to begin is the last.
    to_begin: Vec<usize>,
    active: Vec<Active>,
}

impl<'a> Builder<'a> {
    fn run(mut self) -> Course<'a> {
        let (problem, plan) = (self.course.problem, self.course.plan);
        let mut instants: Vec<f64> =
            std::iter::once(0.0).chain(plan.steps.iter().flat_map(|s| [s.start_s, s.end_s()])).collect();
        instants.sort_by(f64::total_cmp);
        instants.dedup_by(|late, early| *late - *early <= tolerance::TIME_S);
        let mut tracking = Tracking::new(problem, plan);
        for (index, &instant) in instants.iter().enumerate() {
            let mut changed: Vec<ModuleId> =
                if index == 0 { problem.module_ids().collect() } else { Vec::new() };
            self.pass_time(instant);
            self.end_steps(instant, &mut changed);
            self.start_steps(instant, &mut changed);
            if index + 1 == instants.len() {
                self.end_steps(f64::INFINITY, &mut changed);
            }
            changed.sort_unstable();
            changed.dedup();
            self.note(instant, &changed, &mut tracking);
        }
        let end_s = instants.last().copied().unwrap_or(0.0);
        self.course.spans = tracking.finish(end_s, &self.payloads());
        self.course.instants = instants;
        self.course
    }

    /// Moves what is under way on to an instant. What hops or crosses is looked at before and after only.
    fn pass_time(&mut self, instant: f64) {
        let plan = self.course.plan;
        let drives = |active: &&Active| !plan.steps[active.step].action.changes_host();
        for (module, _) in self.active.iter().filter(drives).flat_map(|active| &active.group_end) {
            let (position, orientation) = self.course.pose(*module, instant);
            let place = self.now.get_mut(*module);
            (place.position, place.orientation) = (position, orientation);
        }
    }

    fn end_steps(&mut self, instant: f64, changed: &mut Vec<ModuleId>) {
        let (problem, plan) = (self.course.problem, self.course.plan);
        let (ended, active): (Vec<_>, Vec<_>) = std::mem::take(&mut self.active)
            .into_iter()
            .partition(|a| plan.steps[a.step].end_s() <= instant + tolerance::TIME_S);
        self.active = active;
        for &(id, place) in ended.iter().flat_map(|active| &active.group_end) {
            *self.now.get_mut(id) = place;
            changed.push(id);
        }
        for Active { step, .. } in ended {
            if let Some(attached) = &mut self.course.attached[step] {
                attached.add(problem, &self.now);
            }
        }
    }

    fn start_steps(&mut self, instant: f64, changed: &mut Vec<ModuleId>) {
        let plan = self.course.plan;
        let mut begun = Vec::new();
        while let Some(&next) = self.to_begin.last()
            && plan.steps[next].start_s <= instant + tolerance::TIME_S
        {
            begun.push(next);
            self.to_begin.pop();
        }
        begun.sort_unstable();
        for index in begun {
            self.start_step(index, changed);
        }
    }

    fn start_step(&mut self, index: usize, changed: &mut Vec<ModuleId>) {
        let (problem, plan) = (self.course.problem, self.course.plan);
        let step = &plan.steps[index];
        let before = &self.now;
        let after = match apply(problem, before, step.module, &step.action) {
            Ok(after) => after,
            Err(error) => {
                self.course.left_out.push((index, error));
                return;
            }
        };
        let members = match step.action {
            Move::Yaw { .. } | Move::Slide { .. } | Move::Stride { .. } => before.carried_with(step.module),
            _ => vec![step.module],
        };
        changed.extend(&members);
        if step.duration_s <= tolerance::TIME_S {
            self.now = after;
            return;
        }
        for &member in &members {
            if let Some(sweep) = whole_sweep(problem, before, step, &after, member) {
                let start = *before.get(member);
                let tilt = matches!(step.action, Move::Cross { .. })
                    .then(|| turn_between(&start, after.get(member)))
                    .flatten();
                let leg = Leg { step: index, from_s: step.start_s, to_s: step.end_s(), start, sweep, tilt };
                self.course.legs[member.index()].push(leg);
            }
        }
        let mut attached = Attached::to_hosts(step.module, &step.action, before, &after);
        attached.add(problem, before);
        self.course.attached[index] = Some(attached);
        let group_end = members.iter().map(|&m| (m, *after.get(m))).collect();
        self.active.push(Active { step: index, group_end });
    }

    /// Notes how things stand at an instant, given who begins or ends a move.
    fn note(&mut self, at_s: f64, changed: &[ModuleId], tracking: &mut Tracking<'_>) {
        let plan = self.course.plan;
        let mut held: Vec<(ModuleId, Hold)> = Vec::new();
        let mut hop_ends = Vec::new();
        for active in &self.active {
            let step = &plan.steps[active.step];
            match step.action {
                Move::Brace | Move::Release => {
                    let place = self.now.get_mut(step.module);
                    held.push((step.module, std::mem::replace(&mut place.hold, Hold::Rolling)));
                }
                Move::Hop { .. } | Move::Cross { .. } => hop_ends.extend(active.group_end.iter().copied()),
                Move::Yaw { .. } | Move::Slide { .. } | Move::Stride { .. } => {}
            }
        }
        for &module in changed {
            let Placement { host, hold, .. } = *self.now.get(module);
            let stands = &mut self.course.stands[module.index()];
            if stands.last().is_none_or(|last| (last.host, last.hold) != (host, hold)) {
                stands.push(Stand { from_s: at_s, host, hold });
            }
        }
        let steps: Vec<(usize, ModuleId)> =
            self.active.iter().map(|active| (active.step, plan.steps[active.step].module)).collect();
        self.course.gravity.push(Gravity::during(steps.iter().map(|&(index, _)| &plan.steps[index].action)));
        tracking.change(changed, &Event { at_s, there: &self.now, steps: &steps, hop_ends: &hop_ends });
        for (module, hold) in held {
            self.now.get_mut(module).hold = hold;
        }
    }

    /// What the slots of a solved plan put on the modules that fill them.
    fn payloads(&self) -> Vec<(ModuleId, f64)> {
        let Course { problem, plan, .. } = self.course;
        let slots = &problem.goal.slots;
        let is_wanted = plan.status == Status::Solved && slots.iter().any(|slot| slot.payload_kg > 0.0);
        let filling = is_wanted.then(|| problem.filling(&self.now)).flatten().unwrap_or_default();
        let borne = slots.iter().zip(filling).filter(|(slot, _)| slot.payload_kg > 0.0);
        borne.filter_map(|(slot, filler)| Some((filler?, slot.payload_kg))).collect()
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
