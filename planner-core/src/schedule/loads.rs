//! Whether a state of the crew carries its load: places, holds, and drives under way, each at any pace.
//!
//! Structures that neither bond nor touch do not load each other, so a state is taken apart and every structure is judged by itself, once.

use super::drive_sequence::DriveSequence;
use super::known_loads::{Fingerprint, KnownLoads, fingerprint};
use super::structure::{part_of, renamed, renamed_body, structures};
use crate::control::{Budget, Stopped};
use crate::model::{Configuration, Hold, ModuleId, Problem, touches};
use crate::motion::{Move, Stretch, Underway};
use crate::statics::{LoadCase, WarmStart};
use indexmap::IndexMap;
use std::cell::Cell;

/// How far each module has come, how it holds, and what is under way.
#[derive(Clone, Debug)]
pub(super) struct State {
    /// For each module the number of its drives that have ended.
    pub(super) drives_done: Vec<usize>,
    /// For each module the hold that counts.
    pub(super) holds: Vec<Hold>,
    /// Drives under way, in the order of their indices.
    pub(super) underway: Vec<usize>,
}

/// Judges states, and remembers. When it has to stop, nothing counts as carried any more.
#[derive(Debug)]
pub(super) struct Loads<'a> {
    course: &'a DriveSequence<'a>,
    budget: &'a Budget<'a>,
    /// Whether what is asked is only for a better plan: then it also stops when the time is up, else only when cancelled.
    pub(super) for_better: bool,
    /// Whether it had to stop since this was last reset.
    pub(super) stopped: bool,
    /// Largest utilisation allowed.
    pub(super) limit: f64,
    known: IndexMap<Vec<u32>, bool>,
    /// Touch forces that balanced structures of the same modules.
    hints: IndexMap<Vec<ModuleId>, WarmStart>,
    /// What is known from other timings, if that is good enough.
    known_before: Option<&'a KnownLoads>,
    /// Whether loads are left aside: everything carries.
    pub(super) without_loads: bool,
    /// What that did not know yet.
    pub(super) fresh: Vec<(Fingerprint, bool)>,
}

impl<'a> Loads<'a> {
    pub(super) fn new(course: &'a DriveSequence<'a>, limit: f64, budget: &'a Budget<'a>) -> Self {
        Self {
            course,
            budget,
            for_better: false,
            stopped: false,
            limit,
            known: IndexMap::new(),
            hints: IndexMap::new(),
            known_before: None,
            without_loads: false,
            fresh: Vec::new(),
        }
    }

    /// The same, believing what other timings found out.
    pub(super) fn with_known(mut self, known: &'a KnownLoads) -> Self {
        self.known_before = Some(known);
        self
    }

    /// The same, with loads left aside.
    pub(super) fn leaving_loads_aside(mut self) -> Self {
        self.without_loads = true;
        self
    }

    /// Whether to stop.
    pub(super) fn is_stopped(&mut self) -> bool {
        self.stopped |= must_stop(self.budget, self.for_better);
        self.stopped
    }

    /// Whether the whole crew carries its load at a state, with gravity as while something moves somewhere.
    pub(super) fn carries(&mut self, state: &State) -> bool {
        if self.without_loads {
            return !self.is_stopped();
        }
        let configuration = self.configuration(state);
        self.structures(&configuration, state)
            .iter()
            .all(|part| self.part_carries(&configuration, state, part))
    }

    /// The same for the structures that any of some modules belong to; `inside` has an entry for each module.
    pub(super) fn carries_around(&mut self, state: &State, inside: &[bool]) -> bool {
        if self.is_stopped() {
            return false;
        }
        let configuration = self.configuration(state);
        let parts = self.structures(&configuration, state);
        parts
            .iter()
            .filter(|part| part.iter().any(|m| inside[m.index()]))
            .all(|part| self.part_carries(&configuration, state, part))
    }

    /// Whether the crew carries its load when nothing at all moves.
    pub(super) fn carries_at_rest(&self, state: &State) -> bool {
        let configuration = self.configuration(state);
        LoadCase::new(self.course.problem, &configuration, touches(self.course.problem, &configuration))
            .carries(self.limit)
    }

    /// Where everybody is; those under way where they began.
    pub(super) fn configuration(&self, state: &State) -> Configuration {
        let placed = self.course.places.iter().zip(&state.drives_done).zip(&state.holds);
        Configuration::new(
            placed.map(|((places, &done), &hold)| crate::model::Placement { hold, ..places[done] }).collect(),
        )
    }

    /// Modules that bond or touch, as long as the touch counts; on both sides of hops under way.
    fn structures(&self, configuration: &Configuration, state: &State) -> Vec<Vec<ModuleId>> {
        let drives = || state.underway.iter().map(|&drive| &self.course.drives[drive]);
        let hops = drives().filter_map(|drive| match drive.action {
            Move::Hop { to } => Some((drive.module, to)),
            _ => None,
        });
        let groups = drives().filter(|drive| !matches!(drive.action, Move::Hop { .. }));
        structures(self.course.problem, configuration, groups.map(|drive| &drive.members[..]), hops)
    }

    fn part_carries(&mut self, configuration: &Configuration, state: &State, part: &[ModuleId]) -> bool {
        let underway: Vec<usize> = state
            .underway
            .iter()
            .copied()
            .filter(|&drive| part.contains(&self.course.drives[drive].module))
            .collect();
        let mut key: Vec<u32> = Vec::with_capacity(2 * part.len() + underway.len());
        for &module in part {
            let braced = u32::from(state.holds[module.index()] == Hold::Braced);
            key.extend([module.index() as u32, 2 * state.drives_done[module.index()] as u32 + braced]);
        }
        key.push(u32::MAX);
        key.extend(underway.iter().map(|&drive| drive as u32));
        if let Some(&known) = self.known.get(&key) {
            return known;
        }
        if self.is_stopped() {
            return false;
        }
        let carries = self.judge(configuration, state, part, &underway);
        // What was given up is not known.
        if !self.stopped {
            self.known.insert(key, carries);
        }
        carries
    }

    fn judge(
        &mut self,
        configuration: &Configuration,
        state: &State,
        part: &[ModuleId],
        underway: &[usize],
    ) -> bool {
        let (problem, there) = part_of(self.course.problem, configuration, part);
        let Some(known) = self.known_before else {
            return self.prove(state, part, underway, &problem, there);
        };
        let actions: Vec<(usize, Move)> = underway
            .iter()
            .map(|&drive| &self.course.drives[drive])
            .map(|drive| {
                let action = match drive.action {
                    Move::Hop { to } => Move::Hop { to: renamed_body(part, to) },
                    other => other,
                };
                (renamed(part, drive.module).index(), action)
            })
            .collect();
        let fingerprint = fingerprint(&problem, &there, &actions);
        if let Some(carries) = known.get(&fingerprint) {
            return carries;
        }
        let carries = self.prove(state, part, underway, &problem, there);
        if !self.stopped {
            self.fresh.push((fingerprint, carries));
        }
        carries
    }

    fn prove(
        &mut self,
        state: &State,
        part: &[ModuleId],
        underway: &[usize],
        problem: &Problem,
        there: Configuration,
    ) -> bool {
        let hint = self.hints.entry(part.to_vec()).or_default();
        if underway.is_empty() {
            let case = LoadCase::new(problem, &there, touches(problem, &there));
            return case.with_gravity_factor(problem.limits.motion_factor).carries_with(self.limit, hint);
        }
        let (mut moving, mut hops) = (Vec::new(), Vec::new());
        for &drive in underway {
            let drive = &self.course.drives[drive];
            let mover = renamed(part, drive.module);
            if matches!(drive.action, Move::Hop { .. }) {
                let done = state.drives_done[drive.module.index()];
                let mut end = self.course.places[drive.module.index()][done + 1];
                end.host = renamed_body(part, end.host);
                hops.push((mover, end));
            } else {
                moving.push(Underway { mover, action: drive.action, share: 1.0 });
            }
        }
        let (stopped, budget, for_better) = (Cell::new(false), self.budget, self.for_better);
        let enough = || {
            stopped.set(must_stop(budget, for_better));
            stopped.get()
        };
        let stretch = Stretch::new(problem, there, &moving, &hops);
        let carries = stretch.carries_at_any_pace_unless(self.limit, hint, &enough);
        self.stopped |= stopped.get();
        carries
    }
}

/// Whether to stop what is only `for_better`, or what is not.
fn must_stop(budget: &Budget<'_>, for_better: bool) -> bool {
    budget.interrupt.asked().is_some_and(|stop| for_better || stop == Stopped::Cancelled)
}
