//! Whether a state of the crew carries its load: places, holds, and drives under way, each at any pace.
//!
//! Structures that neither bond nor touch do not load each other. So a state is split into structures, and each is checked by itself, once. An
//! interrupted check is not stored.

use super::drive_sequence::DriveSequence;
use super::known_loads::{Fingerprint, KnownLoads, fingerprint};
use crate::control::{Interrupt, Stopped};
use crate::model::{Configuration, Hold, ModuleId, Problem, touches};
use crate::motion::structure::{part_of, renamed, renamed_body, structures, trees};
use crate::motion::{Missing, Move, Stretch, Underway};
use crate::statics::{LoadCase, WarmStart};
use indexmap::IndexMap;

/// How many drives each module has completed, its hold, and what is under way.
#[derive(Clone, Debug)]
pub(super) struct State {
    /// For each module the number of its drives that have ended.
    pub(super) drives_done: Vec<usize>,
    /// For each module the hold that counts.
    pub(super) holds: Vec<Hold>,
    /// Drives under way, in the order of their indices.
    pub(super) underway: Vec<usize>,
}

/// What joins modules to parts that are proven to carry by themselves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Joined {
    /// Bonds alone: trees of modules that carry without the help of any touch. Then they do with touches too, because a touch need not push.
    ByBonds,
    /// Bonds and the touches that count: whole structures.
    ByTouchesToo,
}

/// Checks states, and stores the answers.
#[derive(Debug)]
pub(super) struct Loads<'a> {
    course: &'a DriveSequence<'a>,
    /// Largest utilisation allowed.
    pub(super) limit: f64,
    known: IndexMap<Vec<u32>, bool>,
    /// Warm starts: touch forces that balanced structures of the same modules.
    hints: IndexMap<Vec<ModuleId>, WarmStart>,
    /// Touch forces by the point of contact, whatever structure it is in.
    forces: WarmStart,
    /// Answers from other timings, where they may be used.
    known_before: Option<&'a KnownLoads>,
    /// Whether loads are ignored: everything carries.
    pub(super) without_loads: bool,
    /// Answers that were not known before.
    pub(super) fresh: Vec<(Fingerprint, bool)>,
}

impl<'a> Loads<'a> {
    pub(super) fn new(course: &'a DriveSequence<'a>, limit: f64) -> Self {
        Self {
            course,
            limit,
            known: IndexMap::new(),
            hints: IndexMap::new(),
            forces: WarmStart::default(),
            known_before: None,
            without_loads: false,
            fresh: Vec::new(),
        }
    }

    /// The same, with answers from other timings.
    pub(super) fn with_known(mut self, known: &'a KnownLoads) -> Self {
        self.known_before = Some(known);
        self
    }

    /// The same, with loads ignored.
    pub(super) fn leaving_loads_aside(mut self) -> Self {
        self.without_loads = true;
        self
    }

    /// Whether what carries without touches does with them: unless a touch joins it to rougher ground, for which gravity counts as tilted further.
    pub(super) fn touches_may_be_left_out(&self) -> bool {
        let mut tilts = self.course.problem.grounds.iter().map(|ground| ground.surfacing.tilt_rad);
        let first = tilts.next();
        tilts.all(|tilt| Some(tilt) == first)
    }

    /// Whether the whole crew carries its load in a state, with the gravity that holds while any move is under way.
    pub(super) fn carries(&mut self, state: &State, interrupt: Interrupt<'_>) -> Result<bool, Stopped> {
        if self.without_loads {
            interrupt.go_on()?;
            return Ok(true);
        }
        let configuration = self.configuration(state);
        for part in self.structures(&configuration, state) {
            if !self.part_carries(&configuration, state, &part, Joined::ByTouchesToo, interrupt)? {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// The same for the parts that contain any of some modules; `inside` has an entry for each module.
    pub(super) fn carries_around(
        &mut self,
        state: &State,
        inside: &[bool],
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        interrupt.go_on()?;
        let configuration = self.configuration(state);
        let mut parts = self.structures(&configuration, state);
        parts.retain(|part| part.iter().any(|m| inside[m.index()]));
        for part in parts {
            if !self.part_carries(&configuration, state, &part, Joined::ByTouchesToo, interrupt)? {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// The same for some modules with all their hosts, without the help of any touch.
    pub(super) fn carries_without_touches(
        &mut self,
        state: &State,
        members: &[ModuleId],
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        interrupt.go_on()?;
        let configuration = self.configuration(state);
        let hops = state.underway.iter().filter_map(|&drive| match self.course.drives[drive].action {
            Move::Hop { to } => Some((self.course.drives[drive].module, to)),
            _ => None,
        });
        for part in trees(&configuration, members, hops) {
            if !self.part_carries(&configuration, state, &part, Joined::ByBonds, interrupt)? {
                return Ok(false);
            }
        }
        Ok(true)
    }

    /// Whether the crew carries its load when nothing moves.
    pub(super) fn carries_at_rest(&self, state: &State) -> bool {
        let configuration = self.configuration(state);
        LoadCase::new(self.course.problem, &configuration, touches(self.course.problem, &configuration))
            .carries(self.limit)
    }

    /// The configuration of a state; modules under way are where they began.
    pub(super) fn configuration(&self, state: &State) -> Configuration {
        let placed = self.course.places.iter().zip(&state.drives_done).zip(&state.holds);
        Configuration::new(
            placed.map(|((places, &done), &hold)| crate::model::Placement { hold, ..places[done] }).collect(),
        )
    }

    /// Sets of modules that bond or touch, where the touch counts; on both sides of hops under way.
    fn structures(&self, configuration: &Configuration, state: &State) -> Vec<Vec<ModuleId>> {
        let drives = || state.underway.iter().map(|&drive| &self.course.drives[drive]);
        let hops = drives().filter_map(|drive| match drive.action {
            Move::Hop { to } => Some((drive.module, to)),
            _ => None,
        });
        let groups = drives().filter(|drive| !matches!(drive.action, Move::Hop { .. }));
        structures(self.course.problem, configuration, groups.map(|drive| &drive.members[..]), hops)
    }

    fn part_carries(
        &mut self,
        configuration: &Configuration,
        state: &State,
        part: &[ModuleId],
        joined: Joined,
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
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
        key.push(u32::MAX - joined as u32);
        key.extend(underway.iter().map(|&drive| drive as u32));
        if let Some(&known) = self.known.get(&key) {
            return Ok(known);
        }
        interrupt.go_on()?;
        let carries = match joined {
            Joined::ByBonds => {
                let (problem, there) = part_of(self.course.problem, configuration, part);
                let (alone, mut hint) = ((&problem, there, Missing::All), WarmStart::default());
                self.prove_with(&mut hint, state, part, &underway, alone, interrupt)?
            }
            Joined::ByTouchesToo => self.judge(configuration, state, part, &underway, interrupt)?,
        };
        self.known.insert(key, carries);
        Ok(carries)
    }

    fn judge(
        &mut self,
        configuration: &Configuration,
        state: &State,
        part: &[ModuleId],
        underway: &[usize],
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        let (problem, there) = part_of(self.course.problem, configuration, part);
        let Some(known) = self.known_before else {
            return self.prove(state, part, underway, (&problem, there), interrupt);
        };
        let actions: Vec<(usize, Move)> = underway
            .iter()
            .map(|&drive| &self.course.drives[drive])
            .map(|drive| {
                let action = match drive.action {
                    Move::Hop { to } => Move::Hop { to: renamed_body(part, to) },
                    Move::Stride { direction, angle_rad, planted, to } => Move::Stride {
                        direction,
                        angle_rad,
                        planted: planted.renamed(|id| renamed(part, id)),
                        to,
                    },
                    other => other,
                };
                (renamed(part, drive.module).index(), action)
            })
            .collect();
        let fingerprint = fingerprint(&problem, &there, &actions);
        if let Some(carries) = known.get(&fingerprint) {
            return Ok(carries);
        }
        let carries = self.prove(state, part, underway, (&problem, there), interrupt)?;
        self.fresh.push((fingerprint, carries));
        Ok(carries)
    }

    fn prove(
        &mut self,
        state: &State,
        part: &[ModuleId],
        underway: &[usize],
        (problem, there): (&Problem, Configuration),
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        let mut hint = self.hints.swap_remove(part).unwrap_or_default();
        hint.exchange_forces(&mut self.forces);
        let carries =
            self.prove_with(&mut hint, state, part, underway, (problem, there, Missing::Nothing), interrupt);
        hint.exchange_forces(&mut self.forces);
        self.hints.insert(part.to_vec(), hint);
        carries
    }

    fn prove_with(
        &self,
        hint: &mut WarmStart,
        state: &State,
        part: &[ModuleId],
        underway: &[usize],
        (problem, there, missing): (&Problem, Configuration, Missing),
        interrupt: Interrupt<'_>,
    ) -> Result<bool, Stopped> {
        if underway.is_empty() {
            let touches = if missing == Missing::All { Vec::new() } else { touches(problem, &there) };
            let case = LoadCase::new(problem, &there, touches);
            return Ok(case.in_motion(problem, true).carries_warm(self.limit, hint));
        }
        let (mut moving, mut hops) = (Vec::new(), Vec::new());
        for &drive in underway {
            let drive = &self.course.drives[drive];
            let mover = renamed(part, drive.module);
            if drive.action.changes_host() {
                let done = state.drives_done[drive.module.index()];
                let mut end = self.course.places[drive.module.index()][done + 1];
                end.host = renamed_body(part, end.host);
                hops.push((mover, end));
            } else {
                let own = Underway { mover: drive.module, action: drive.action, share: 1.0 };
                moving.push(own.renamed(|id| renamed(part, id)));
            }
        }
        Stretch::new(problem, there, &moving, &hops)
            .with_missing(missing)
            .carries_at_any_pace(self.limit, hint, interrupt)
    }
}
