//! A simulated crew that obeys: its moves take their own time, and its poses are measured with errors.

use super::record::{Done, Record};
use clamber_core::follow::{Command, Measured, Scatter};
use clamber_core::unstable::math::SplitMix64;
use clamber_core::unstable::motion::{Stretch, Underway, apply};
use clamber_core::{Configuration, DQuat, DVec3, ModuleId, Move, Plan, Problem};

/// How a move under way goes on.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Way {
    /// To its end.
    On,
    /// Back to where it began, from a share of it at an instant.
    Back,
}

/// A move under way.
#[derive(Clone, Copy, Debug)]
struct Moving {
    step: usize,
    start_s: f64,
    end_s: f64,
    way: Way,
}

/// A crew that carries out one plan.
pub(crate) struct Crew<'a> {
    problem: &'a Problem,
    plan: &'a Plan,
    pub(crate) now_s: f64,
    starting: Vec<(f64, usize)>,
    moving: Vec<Moving>,
    /// Hops, crosses and strides that have stopped on their way, with the share.
    pub(crate) between: Vec<(usize, f64)>,
    pub(crate) record: Record,
}

/// What happens next by itself.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Happening {
    Starts(usize),
    Ends(usize),
    /// A move has been taken back.
    IsBack(usize),
}

/// A module begins at most this much after it was told to, in seconds.
const REACTION_S: (f64, f64) = (0.002, 0.5);

impl<'a> Crew<'a> {
    pub(crate) fn new(problem: &'a Problem, plan: &'a Plan) -> Self {
        Self {
            problem,
            plan,
            now_s: 0.0,
            starting: Vec::new(),
            moving: Vec::new(),
            between: Vec::new(),
            record: Record::default(),
        }
    }

    /// Tells a module to begin a step, unless it was told before.
    pub(crate) fn start(&mut self, step: usize, dice: &mut SplitMix64) {
        let is_told = self.starting.iter().any(|(_, told)| *told == step)
            || self.moving.iter().any(|moving| moving.step == step);
        if !is_told {
            self.starting.push((self.now_s + dice.between(REACTION_S.0, REACTION_S.1), step));
        }
    }

    /// The instant of what happens next by itself.
    pub(crate) fn next_s(&self) -> Option<f64> {
        let starts = self.starting.iter().map(|(at_s, _)| *at_s);
        starts.chain(self.moving.iter().map(|moving| moving.end_s)).reduce(f64::min)
    }

    /// Lets that happen.
    pub(crate) fn happen(&mut self, jitter: f64, dice: &mut SplitMix64) -> Option<Happening> {
        let at_s = self.next_s()?;
        self.now_s = at_s;
        if let Some(index) = self.starting.iter().position(|(start_s, _)| *start_s <= at_s) {
            let (_, step) = self.starting.remove(index);
            let duration_s = self.plan.steps[step].duration_s * dice.between(1.0 - jitter, 1.0 + jitter);
            self.moving.push(Moving { step, start_s: at_s, end_s: at_s + duration_s, way: Way::On });
            return Some(Happening::Starts(step));
        }
        let index = self.moving.iter().position(|moving| moving.end_s <= at_s)?;
        let moving = self.moving.remove(index);
        if moving.way == Way::Back {
            return Some(Happening::IsBack(moving.step));
        }
        self.done(moving, 1.0);
        Some(Happening::Ends(moving.step))
    }

    /// Nothing more starts that has not begun.
    pub(crate) fn halt(&mut self) {
        self.starting.clear();
    }

    pub(crate) fn is_moving(&self) -> bool {
        !self.moving.is_empty()
    }

    /// The steps under way, and how far each has come.
    pub(crate) fn shares(&self) -> Vec<(usize, f64)> {
        let on = self.moving.iter().filter(|moving| moving.way == Way::On);
        on.map(|moving| (moving.step, self.share(moving))).collect()
    }

    fn share(&self, moving: &Moving) -> f64 {
        ((self.now_s - moving.start_s) / (moving.end_s - moving.start_s)).clamp(0.0, 1.0)
    }

    /// A step stops where it is; its share, if it was under way.
    pub(crate) fn stop(&mut self, step: usize) -> Option<f64> {
        let index = self.moving.iter().position(|moving| moving.step == step)?;
        let moving = self.moving.remove(index);
        let share = self.share(&moving);
        self.done(moving, share);
        Some(share)
    }

    /// Takes a move back.
    pub(crate) fn take_back(&mut self, step: usize) {
        let now_s = self.now_s;
        if let Some(moving) = self.moving.iter_mut().find(|moving| moving.step == step) {
            (moving.end_s, moving.way) = (now_s + (now_s - moving.start_s), Way::Back);
        }
    }

    /// Braces a module, at once as far as others are concerned: nobody else begins anything.
    pub(crate) fn brace(&mut self, module: usize) {
        let module = ModuleId::at(module);
        let start_s = self.now_s + REACTION_S.0;
        let end_s = start_s + self.problem.kind(module).brace_time_s;
        self.record.done.push(Done { step: None, module, action: Move::Brace, start_s, end_s });
    }

    /// Writes down a move as far as it came.
    fn done(&mut self, moving: Moving, share: f64) {
        let step = &self.plan.steps[moving.step];
        let action = match step.action {
            Move::Yaw { angle_rad } => Move::Yaw { angle_rad: angle_rad * share },
            Move::Slide { travel_m, curvature_per_m } => {
                Move::Slide { travel_m: travel_m * share, curvature_per_m }
            }
            // A bond lets go at once, and holds only at the end.
            Move::Brace if share < 1.0 => return,
            whole if whole.new_host().is_some() && share < 1.0 => {
                self.between.push((moving.step, share));
                return;
            }
            whole => whole,
        };
        let end_s = self.now_s.max(moving.start_s + 1e-6);
        let (step, module) = (Some(moving.step), step.module);
        self.record.done.push(Done { step, module, action, start_s: moving.start_s, end_s });
    }

    /// Where the crew is: who moves counts as far as it has come, who is between two hosts or strides where it began.
    pub(crate) fn truth(&self) -> Result<Configuration, String> {
        let mut record = self.record.clone();
        for moving in &self.moving {
            let mut so_far = Crew { moving: Vec::new(), ..Crew::new(self.problem, self.plan) };
            so_far.now_s = self.now_s;
            so_far.done(*moving, self.share(moving).min(1.0 - 1e-12));
            record.done.extend(so_far.record.done);
        }
        record.last(self.problem)
    }

    /// The steps that go on to their ends, as they would be if they began now.
    pub(crate) fn ending(&self) -> Vec<usize> {
        self.moving.iter().filter(|moving| moving.way == Way::On).map(|moving| moving.step).collect()
    }

    /// Measures everybody.
    pub(crate) fn measured(&self, noise: Scatter, dice: &mut SplitMix64) -> Result<Vec<Measured>, String> {
        let mut there = self.truth()?;
        for &(step, share) in &self.between {
            let own = &self.plan.steps[step];
            if matches!(own.action, Move::Stride { .. }) {
                let underway = Underway { mover: own.module, action: own.action, share };
                there = Stretch::new(self.problem, there, &[underway], &[]).at(1.0);
                continue;
            }
            let after =
                apply(self.problem, &there, own.module, &own.action).map_err(|error| error.to_string())?;
            let (place, end) = (there.get_mut(own.module), after.get(own.module));
            place.position = place.position.lerp(end.position, share);
            place.orientation = place.orientation.slerp(end.orientation, share);
        }
        let mut poses: Vec<Measured> =
            there.iter().map(|(_, place)| Measured::exactly(place, noise)).collect();
        for pose in &mut poses {
            let mut error = || dice.between(-noise.position_m, noise.position_m);
            pose.position += DVec3::new(error(), error(), error());
            let axis = DVec3::new(dice.normal(), dice.normal(), dice.normal()).normalize_or(DVec3::Z);
            let angle = dice.between(-noise.angle_rad, noise.angle_rad);
            pose.orientation = (DQuat::from_axis_angle(axis, angle) * pose.orientation).normalize();
        }
        Ok(poses)
    }

    /// Obeys a command of a stop; the share of a step that has stopped.
    pub(crate) fn obey(&mut self, command: Command) -> Option<(usize, f64)> {
        match command {
            Command::Hold { step } => return self.stop(step).map(|share| (step, share)),
            Command::TakeBack { step } => self.take_back(step),
            Command::Brace { module } => self.brace(module),
            Command::Start { .. } | Command::Finish { .. } => {}
        }
        None
    }
}
