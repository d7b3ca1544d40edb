//! The figures of timed moves: where each ends, its worst utilisation and its smallest gap, with all that is under way beside it.

use super::ScheduleError;
use super::utilisations::Utilisations;
use crate::control::Interrupt;
use crate::math::tolerance;
use crate::model::{Configuration, Hold, ModuleId, Placement, Problem};
use crate::motion::{Attached, Move, Stretch, Underway, apply};

/// A move and its time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Timed {
    pub(super) module: ModuleId,
    pub(super) action: Move,
    pub(super) start_s: f64,
    pub(super) duration_s: f64,
}

impl Timed {
    fn end_s(&self) -> f64 {
        self.start_s + self.duration_s
    }
}

/// What comes of one move.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figures {
    pub(super) end: Placement,
    pub(super) utilisation: f64,
    pub(super) gap_m: Option<f64>,
}

/// What is worked out of each move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scope {
    /// Everything.
    Whole,
    /// Where it ends; the rest is left at nothing.
    Ends,
}

/// Figures of all moves, in their order.
///
/// # Errors
/// When a move cannot be begun at its time, or when told to stop.
pub(super) fn figures(
    problem: &Problem,
    moves: &[Timed],
    scope: Scope,
    interrupt: Interrupt<'_>,
) -> Result<Vec<Figures>, ScheduleError> {
    let mut course = Replay {
        problem,
        moves,
        scope,
        now: problem.start.clone(),
        underway: Vec::new(),
        found: vec![None; moves.len()],
        utilisations: Utilisations::new(problem),
        strained: Vec::new(),
    };
    let mut instants: Vec<f64> = moves.iter().flat_map(|m| [m.start_s, m.end_s()]).collect();
    instants.sort_by(f64::total_cmp);
    instants.dedup_by(|late, early| *late - *early <= tolerance::TIME_S);
    for (index, &instant) in instants.iter().enumerate() {
        interrupt.go_on()?;
        course.end(instant);
        course.begin(instant)?;
        match instants.get(index + 1) {
            Some(&next) => course.go_on(next - instant),
            None => course.end(f64::INFINITY),
        }
    }
    let worst = course.utilisations.work_out(interrupt)?;
    for (steps, numbers) in std::mem::take(&mut course.strained) {
        let utilisation = numbers.into_iter().map(|number| worst[number]).fold(0.0, f64::max);
        course.note(utilisation, &steps);
    }
    let complete = |(index, found): (usize, Option<Figures>)| {
        found.ok_or_else(|| cannot(problem, moves, index, crate::motion::MoveError::NoOtherHost))
    };
    course.found.into_iter().enumerate().map(complete).collect()
}

fn cannot(
    problem: &Problem,
    moves: &[Timed],
    index: usize,
    error: crate::motion::MoveError,
) -> ScheduleError {
    ScheduleError::Cannot { module: problem.module_name(moves[index].module).into(), index, error }
}

/// A move under way.
struct Active<'a> {
    index: usize,
    before: Configuration,
    /// Where its members are when it ends.
    ends: Vec<(ModuleId, Placement)>,
    stretches: Vec<Stretch<'a>>,
}

struct Replay<'a> {
    problem: &'a Problem,
    moves: &'a [Timed],
    scope: Scope,
    now: Configuration,
    underway: Vec<Active<'a>>,
    found: Vec<Option<Figures>>,
    utilisations: Utilisations<'a>,
    /// Moves, and the structures by which they are judged over one stretch.
    strained: Vec<(Vec<usize>, Vec<usize>)>,
}

impl<'a> Replay<'a> {
    fn end(&mut self, instant: f64) {
        let moves = self.moves;
        let ends = |a: &mut Active<'_>| moves[a.index].end_s() <= instant + tolerance::TIME_S;
        let ended: Vec<Active<'a>> = self.underway.extract_if(.., ends).collect();
        for &(id, place) in ended.iter().flat_map(|a| &a.ends) {
            *self.now.get_mut(id) = place;
        }
        // What a step touches in the end may have moved beside it, so gaps wait until it is there.
        for Active { index, before, stretches, .. } in &ended {
            let Timed { module, action, .. } = moves[*index];
            let attached = Attached::new(self.problem, module, &action, before, &self.now);
            for stretch in stretches {
                self.note_gap(*index, stretch, &attached);
            }
        }
    }

    fn begin(&mut self, instant: f64) -> Result<(), ScheduleError> {
        for index in 0..self.moves.len() {
            let Timed { module, action, start_s, duration_s } = self.moves[index];
            if (start_s - instant).abs() > tolerance::TIME_S || self.found[index].is_some() {
                continue;
            }
            let after = apply(self.problem, &self.now, module, &action)
                .map_err(|error| cannot(self.problem, self.moves, index, error))?;
            self.found[index] = Some(Figures { end: *after.get(module), utilisation: 0.0, gap_m: None });
            if duration_s <= tolerance::TIME_S {
                let stretch = Stretch::of_move(self.problem, &self.now, module, &action, &after);
                self.want_instant(index, module, action, &after);
                self.note_gap(
                    index,
                    &stretch,
                    &Attached::new(self.problem, module, &action, &self.now, &after),
                );
                self.now = after;
                continue;
            }
            let members = match action {
                Move::Yaw { .. } | Move::Slide { .. } => self.now.carried_with(module),
                _ => vec![module],
            };
            let ends = members.into_iter().map(|m| (m, *after.get(m))).collect();
            self.underway.push(Active { index, before: self.now.clone(), ends, stretches: Vec::new() });
        }
        Ok(())
    }

    /// Notes what the utilisation of some moves depends on.
    fn want(
        &mut self,
        steps: Vec<usize>,
        begin: &Configuration,
        moving: &[Underway],
        hops: &[(ModuleId, Placement)],
    ) {
        if self.scope == Scope::Whole {
            self.strained.push((steps, self.utilisations.want(begin, moving, hops)));
        }
    }

    /// A move that takes no time.
    fn want_instant(&mut self, index: usize, module: ModuleId, action: Move, after: &Configuration) {
        let mut begin = self.now.clone();
        let (mut moving, mut hops) = (Vec::new(), Vec::new());
        match action {
            Move::Brace | Move::Release => begin.get_mut(module).hold = Hold::Rolling,
            Move::Hop { .. } => hops.push((module, *after.get(module))),
            Move::Yaw { .. } | Move::Slide { .. } => {
                moving.push(Underway { mover: module, action, share: 1.0 });
            }
        }
        self.want(vec![index], &begin, &moving, &hops);
    }

    /// The stretch to the next event.
    fn go_on(&mut self, span_s: f64) {
        if self.underway.is_empty() {
            return;
        }
        let mut begin = self.now.clone();
        let (mut moving, mut hops) = (Vec::new(), Vec::new());
        for active in &self.underway {
            let Timed { module, action, duration_s, .. } = self.moves[active.index];
            match action {
                Move::Brace | Move::Release => begin.get_mut(module).hold = Hold::Rolling,
                Move::Hop { .. } => hops.extend(active.ends.iter().copied()),
                _ => moving.push(Underway { mover: module, action, share: span_s / duration_s }),
            }
        }
        let steps: Vec<usize> = self.underway.iter().map(|a| a.index).collect();
        self.want(steps, &begin, &moving, &hops);
        let stretch = Stretch::new(self.problem, begin, &moving, &hops);
        for active in &mut self.underway {
            active.stretches.push(stretch.clone());
        }
        let holds = self.now.clone();
        self.now = stretch.at(1.0).with_holds(|id| holds.get(id).hold);
    }

    fn note(&mut self, utilisation: f64, steps: &[usize]) {
        for &index in steps {
            if let Some(figures) = &mut self.found[index] {
                figures.utilisation = figures.utilisation.max(utilisation);
            }
        }
    }

    fn note_gap(&mut self, index: usize, stretch: &Stretch<'_>, attached: &Attached) {
        if self.scope == Scope::Whole
            && let Some(figures) = &mut self.found[index]
        {
            let gap = stretch.smallest_gap(attached).map(|g| g.gap_m);
            figures.gap_m = figures.gap_m.into_iter().chain(gap).reduce(f64::min);
        }
    }
}
